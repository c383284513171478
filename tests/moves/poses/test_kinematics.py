"""The solver on limbs whose answer is known from school geometry."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.moves.poses import skeleton as body
from caller.moves.poses.kinematics import CHANNELS, Solver, rotation, two_bone
from caller.moves.poses.skeleton import Array, Joint


def _solved(**channels: tuple[float, ...]) -> Array:
    given = {name: np.array([value]) for name, value in channels.items()}
    points: Array = Solver(given, 1, "chest", flat_hands=False).solve()[0]
    return points


def test_a_limb_of_3_and_4_that_reaches_5_has_a_right_angle_at_its_middle_joint() -> None:
    # The 3-4-5 triangle.
    middle, end = two_bone(np.zeros((1, 3)), np.array([[5.0, 0, 0]]), 3.0, 4.0, np.array([[0, 1.0, 0]]))
    np.testing.assert_allclose(end, [[5, 0, 0]])
    assert np.dot(middle[0], end[0] - middle[0]) == pytest.approx(0)
    np.testing.assert_allclose(middle, [[9 / 5, 12 / 5, 0]])


@settings(deadline=None)
@given(
    target=st.tuples(*[st.floats(-2, 2)] * 3).filter(lambda point: np.linalg.norm(point) > 1e-3),
    hinge=st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda point: np.linalg.norm(point) > 1e-3),
)
def test_bones_keep_their_length_wherever_the_target_is(
    target: tuple[float, float, float], hinge: tuple[float, float, float]
) -> None:
    along = np.array(target) / np.linalg.norm(target)
    if np.linalg.norm(np.cross(along, hinge)) < 1e-3:
        return  # the middle joint has no side to bend to
    middle, end = two_bone(np.zeros((1, 3)), np.array([target]), 0.6, 0.5, np.array([hinge]))
    assert np.linalg.norm(middle) == pytest.approx(0.6)
    assert np.linalg.norm(end - middle) == pytest.approx(0.5)


def test_a_target_within_reach_is_met_and_one_beyond_is_approached() -> None:
    targets = np.array([[0.7, 0.1, -0.2], [0, 9.0, 0]])
    _, end = two_bone(np.zeros((2, 3)), targets, 0.6, 0.5, np.array([[0, 0, 1.0]] * 2))
    np.testing.assert_allclose(end[0], targets[0])
    np.testing.assert_allclose(end[1], [0, 1.1, 0], atol=1e-3)


def test_rotations_are_rotations_with_the_signs_the_tables_use() -> None:
    right_angle, none = np.array([90.0]), np.array([0.0])
    np.testing.assert_allclose(rotation(right_angle, none, none)[0] @ [0, 0, 1], [1, 0, 0], atol=1e-12)
    np.testing.assert_allclose(rotation(none, right_angle, none)[0] @ [0, 1, 0], [0, 0, 1], atol=1e-12)
    np.testing.assert_allclose(rotation(none, none, right_angle)[0] @ [0, 1, 0], [1, 0, 0], atol=1e-12)
    mixed = rotation(np.array([20.0]), np.array([-50.0]), np.array([70.0]))[0]
    np.testing.assert_allclose(mixed @ mixed.T, np.eye(3), atol=1e-12)


def test_quiet_standing_has_feet_flat_under_the_hips_and_knees_ahead() -> None:
    points = _solved()
    for side in ("L", "R"):
        assert points[Joint[f"HEEL_{side}"], 1] == pytest.approx(0, abs=1e-9)
        assert points[Joint[f"TOE_{side}"], 1] == pytest.approx(0, abs=1e-9)
        hip, knee, ankle = (points[Joint[f"{name}_{side}"]] for name in ("HIP", "KNEE", "ANKLE"))
        line = hip + (ankle - hip) * (hip[1] - knee[1]) / (hip[1] - ankle[1])
        assert knee[2] > line[2]


def test_a_crouch_puts_the_knees_ahead_and_a_heel_to_the_seat_keeps_the_knee_below() -> None:
    crouch = _solved(at=(0, -0.2, -0.1))
    assert crouch[Joint.KNEE_L, 2] > crouch[Joint.HIP_L, 2]
    assert crouch[Joint.KNEE_L, 2] > crouch[Joint.ANKLE_L, 2]
    flick = _solved(foot_l=(0.06, 0.34, -0.22, 120))
    assert flick[Joint.KNEE_L, 1] < flick[Joint.ANKLE_L, 1]
    assert flick[Joint.KNEE_L, 2] > flick[Joint.ANKLE_L, 2]


def test_legs_never_stretch_so_a_wide_stance_lowers_the_pelvis() -> None:
    wide = _solved(foot_l=(0.3, 0, 0.055, 0), foot_r=(0.3, 0, 0.055, 0))
    leg = np.linalg.norm(wide[Joint.HIP_L] - wide[Joint.ANKLE_L])
    assert leg == pytest.approx((body.THIGH + body.SHANK) * 0.9995, abs=1e-6)
    assert wide[Joint.PELVIS, 1] < body.HIP_HEIGHT - 0.05


@pytest.mark.parametrize(
    ("arm", "direction"),
    [
        ((0.0, 0.0, 0.0, 0.0), (0, -1, 0)),
        ((90.0, 0.0, 0.0, 0.0), (1, 0, 0)),
        ((90.0, 90.0, 0.0, 0.0), (0, 0, 1)),
        ((180.0, 0.0, 0.0, 0.0), (0, 1, 0)),
    ],
)
def test_a_left_arm_points_where_its_lift_and_plane_say(
    arm: tuple[float, ...], direction: tuple[float, float, float]
) -> None:
    points = _solved(arm_l=arm)
    reach = points[Joint.HAND_L] - points[Joint.SHOULDER_L]
    np.testing.assert_allclose(reach / np.linalg.norm(reach), direction, atol=1e-9)
    right = _solved(arm_r=arm)
    mirrored = right[Joint.HAND_R] - right[Joint.SHOULDER_R]
    np.testing.assert_allclose(mirrored, reach * (-1, 1, 1), atol=1e-9)


def test_an_elbow_bends_forwards_when_the_arm_hangs_before_the_body() -> None:
    points = _solved(arm_l=(0.0, 90.0, 90.0, 0.0))
    np.testing.assert_allclose(points[Joint.WRIST_L] - points[Joint.ELBOW_L], [0, 0, body.FOREARM], atol=1e-9)


@pytest.mark.parametrize("pitch", [0.0, 20.0, 60.0])
def test_a_rising_heel_leaves_ball_and_toes_where_they_are(pitch: float) -> None:
    points = _solved(foot_l=(0.06, 0.0, 0.055, pitch), at=(0, -0.1, 0.05))
    flat = _solved(at=(0, -0.1, 0.05))
    for joint in (Joint.BALL_L, Joint.TOE_L):
        np.testing.assert_allclose(points[joint], flat[joint], atol=1e-9)
    assert points[Joint.HEEL_L, 1] == pytest.approx(0.11 * np.sin(np.radians(pitch)))


def test_rising_toes_leave_the_heel_where_it_is() -> None:
    points = _solved(foot_l=(0.06, 0.0, 0.2, -40), at=(0, -0.1, 0))
    flat = _solved(foot_l=(0.06, 0.0, 0.2, 0), at=(0, -0.1, 0))
    np.testing.assert_allclose(points[Joint.HEEL_L], flat[Joint.HEEL_L], atol=1e-9)
    assert points[Joint.TOE_L, 1] > 0.08


def test_a_standing_figure_is_one_unit_tall() -> None:
    # The drawn head reaches 0.080 above its middle.
    assert _solved()[Joint.HEAD, 1] + 0.080 == pytest.approx(1.0, abs=0.002)


def test_every_channel_has_a_value_in_quiet_standing() -> None:
    assert all(len(values) > 0 for values in CHANNELS.values())
