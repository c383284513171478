"""Every move's loop, held against what a body can do."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.errors import NotFoundError
from caller.moves import catalogue
from caller.moves.poses import (
    ANIMATIONS,
    BONES,
    DIAL_VIEW,
    MIRRORED,
    STANCES,
    Joint,
    View,
    bearing,
    clock_arms,
    contacts,
    loop,
    phase_at,
    pose,
)

Array = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
SLUGS = tuple(ANIMATIONS)
MOMENTS = 240
FEET = (Joint.HEEL_L, Joint.BALL_L, Joint.TOE_L, Joint.HEEL_R, Joint.BALL_R, Joint.TOE_R)
PROPS = (*FEET, Joint.WRIST_L, Joint.WRIST_R, Joint.KNEE_L, Joint.KNEE_R)

LEG = {side: tuple(Joint[f"{part}_{side}"] for part in ("HIP", "KNEE", "ANKLE")) for side in "LR"}

every_move = pytest.mark.parametrize("slug", SLUGS)
every_loop = pytest.mark.parametrize("slug", [*SLUGS, *STANCES])


def _bend_deg(points: Array, start: Joint, middle: Joint, end: Joint) -> Array:
    """How far a joint is bent from straight."""
    into, out = points[:, middle] - points[:, start], points[:, end] - points[:, middle]
    cosine = np.sum(into * out, axis=1) / np.linalg.norm(into, axis=1) / np.linalg.norm(out, axis=1)
    bend: Array = np.degrees(np.arccos(np.clip(cosine, -1, 1)))
    return bend


def test_every_move_of_the_catalogue_has_a_figure_and_no_figure_lacks_its_move() -> None:
    assert set(SLUGS) == set(catalogue())


@every_move
def test_bones_keep_their_length(slug: str) -> None:
    points = loop(slug, MOMENTS)
    for start, end in BONES:
        length = np.linalg.norm(points[:, start] - points[:, end], axis=1)
        assert np.ptp(length) < 1e-6, f"{start.name}-{end.name}"


@every_move
def test_nothing_jumps_between_moments_or_across_the_seam(slug: str) -> None:
    points = loop(slug, 480)
    step = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=2)
    # A fourteenth of the loop takes the quickest hand or heel less than one body height; a loop that rests
    # in its middle, for longer than the two seconds of most, may hurry as much in the same time.
    assert step.max() < 0.03 * max(1.0, 0.5 / catalogue()[slug].tempo_hz)


@every_loop
def test_feet_that_stand_or_are_about_to_do_not_slide(slug: str) -> None:
    """A hundredth of a body height over the floor and lower, a foot goes less than 2 % of it in a loop."""
    points = loop(slug, 480)
    for joint in FEET:
        low = points[:, joint, 1] < 0.01
        path = np.linalg.norm((np.roll(points, -1, axis=0) - points)[:, joint, ::2], axis=1)
        assert path[low & np.roll(low, -1)].sum() < 0.02, joint.name


@every_move
def test_what_bears_weight_stays_put(slug: str) -> None:
    """Feet, hands and knees on the floor move less than 2 % of the body's height in a whole loop."""
    points = loop(slug, MOMENTS)
    resting = [bearing(moment) for moment in points]
    for joint in PROPS:
        path = np.linalg.norm((np.roll(points, -1, axis=0) - points)[:, joint, ::2], axis=1)
        on_floor = [
            joint in now and joint in then
            for now, then in zip(resting, resting[1:] + resting[:1], strict=True)
        ]
        assert path[on_floor].sum() < 0.02, joint.name


@pytest.mark.parametrize("slug", [slug for slug in SLUGS if ANIMATIONS[slug].flat_hands])
def test_hands_on_the_floor_carry_weight_all_the_time(slug: str) -> None:
    for moment in loop(slug, MOMENTS):
        assert {Joint.WRIST_L, Joint.WRIST_R} <= bearing(moment)


@every_move
def test_nothing_sinks_into_the_floor(slug: str) -> None:
    assert loop(slug, MOMENTS)[..., 1].min() > -0.004


@every_move
def test_only_jumps_and_runs_leave_the_floor_and_as_often_as_the_catalogue_says(slug: str) -> None:
    move = catalogue()[slug]
    if ANIMATIONS[slug].seated:
        assert not move.high_impact
        return
    flying = np.array([not bearing(moment) for moment in loop(slug, MOMENTS)])
    flights = int(np.sum(flying & ~np.roll(flying, 1)))
    assert (flights > 0) == move.high_impact
    if move.jumps:
        assert flights == move.jumps


@pytest.mark.parametrize("slug", [slug for slug in SLUGS if ANIMATIONS[slug].alternates])
def test_an_alternating_move_does_the_same_on_both_sides(slug: str) -> None:
    points = loop(slug, MOMENTS)
    half = np.roll(points, MOMENTS // 2, axis=0)[:, MIRRORED] * (-1, 1, 1)
    np.testing.assert_allclose(points, half, atol=1e-9)


def test_a_loop_alternates_exactly_where_the_catalogue_counts_both_sides() -> None:
    assert {slug for slug, move in catalogue().items() if move.sides} == {
        slug for slug in SLUGS if ANIMATIONS[slug].alternates
    }


# Normal ranges after the American Academy of Orthopaedic Surgeons, Joint Motion (1965): knee 135 and elbow
# 150 degrees of flexion (from memory); a supple child's knee gets ten more.
@every_move
def test_knees_and_elbows_bend_no_farther_than_joints_do(slug: str) -> None:
    points = loop(slug, MOMENTS)
    for side in ("L", "R"):
        joints = (Joint[f"HIP_{side}"], Joint[f"KNEE_{side}"], Joint[f"ANKLE_{side}"])
        assert _bend_deg(points, *joints).max() < 145
        joints = (Joint[f"SHOULDER_{side}"], Joint[f"ELBOW_{side}"], Joint[f"WRIST_{side}"])
        assert _bend_deg(points, *joints).max() < 150


@every_move
def test_knees_bend_the_way_the_kneecap_points(slug: str) -> None:
    """The shin folds back about the hips' axis, or one turned out from it by less than a right angle."""
    points = loop(slug, MOMENTS)
    left = points[:, Joint.HIP_L] - points[:, Joint.HIP_R]
    for side in ("L", "R"):
        hip, knee, ankle = (points[:, Joint[f"{name}_{side}"]] for name in ("HIP", "KNEE", "ANKLE"))
        assert np.sum(np.cross(knee - hip, ankle - knee) * left, axis=1).min() > 0, side


@every_move
def test_arms_stay_out_of_the_trunk_and_the_head(slug: str) -> None:
    points = loop(slug, MOMENTS)
    for joint in (Joint.ELBOW_L, Joint.ELBOW_R, Joint.WRIST_L, Joint.WRIST_R, Joint.HAND_L, Joint.HAND_R):
        for start, end in ((Joint.PELVIS, Joint.SPINE), (Joint.SPINE, Joint.NECK)):
            line = points[:, end] - points[:, start]
            share = np.sum((points[:, joint] - points[:, start]) * line, axis=1) / np.sum(line**2, axis=1)
            nearest = points[:, start] + np.clip(share, 0, 1)[:, None] * line
            assert np.linalg.norm(points[:, joint] - nearest, axis=1).min() > 0.055, joint.name
        assert np.linalg.norm(points[:, joint] - points[:, Joint.HEAD], axis=1).min() > 0.078, joint.name


# Segment masses as shares of the body after Dempster (1955), as in Winter's table (from memory): head
# and neck 0.081, trunk 0.497, upper arm 0.028, forearm and hand 0.022, thigh 0.100, shank and foot 0.061.
_MASSES = (
    (0.081, Joint.HEAD, Joint.HEAD),
    (0.497, Joint.PELVIS, Joint.NECK),
    *((0.028, Joint[f"SHOULDER_{side}"], Joint[f"ELBOW_{side}"]) for side in "LR"),
    *((0.022, Joint[f"ELBOW_{side}"], Joint[f"HAND_{side}"]) for side in "LR"),
    *((0.100, Joint[f"HIP_{side}"], Joint[f"KNEE_{side}"]) for side in "LR"),
    *((0.061, Joint[f"KNEE_{side}"], Joint[f"ANKLE_{side}"]) for side in "LR"),
)
_STILL = [
    slug
    for slug, move in catalogue().items()
    if (move.hold or move.kind == "balance") and not ANIMATIONS[slug].seated
]


@pytest.mark.parametrize("slug", [*_STILL, "squats", "calf-raises", "forward-fold", "side-stretch"])
def test_a_figure_that_keeps_still_has_its_weight_over_what_it_stands_on(slug: str) -> None:
    for moment in loop(slug, 48):
        weight = sum(share * (moment[start] + moment[end]) / 2 for share, start, end in _MASSES)
        support = moment[list(bearing(moment))]
        slack = 0.03  # half the breadth of a foot
        for axis in (0, 2):
            assert support[:, axis].min() - slack < weight[axis] < support[:, axis].max() + slack, "xyz"[axis]


def test_the_figures_fit_the_space_the_catalogue_asks_for_a_child_of_1_40_m() -> None:
    for slug, move in catalogue().items():
        points = loop(slug)
        assert 1.40 * np.hypot(points[..., 0], points[..., 2]).max() <= move.radius_m, slug


@every_loop
def test_every_loop_has_a_beat_and_beats_ascend(slug: str) -> None:
    found = contacts(slug)
    assert found
    assert list(found) == sorted(set(found))
    assert all(0 <= phase < 1 for phase in found)


@pytest.mark.parametrize("slug", [slug for slug, move in catalogue().items() if move.jumps])
def test_a_jump_has_its_beats_where_it_lands(slug: str) -> None:
    found = contacts(slug)
    from_the_air = [phase for phase in found if not pose(slug, phase - 0.01).bearing]
    assert len(from_the_air) == catalogue()[slug].jumps
    for phase in found:
        assert pose(slug, phase + 0.01).bearing & set(FEET)


@pytest.mark.parametrize("slug", [slug for slug, move in catalogue().items() if move.high_impact])
def test_who_comes_down_gives_way_at_the_knees(slug: str) -> None:
    points = loop(slug, 480)
    air, hips = points[:, FEET, 1].min(axis=1), points[:, Joint.PELVIS, 1]
    for landing in contacts(slug):
        now = round(landing * 480)
        if air[now - 1 - np.arange(12)].max() < 0.01:
            continue  # a foot put down beside another
        # Two hundredths of the height, within a sixth of the loop: by eye.
        sunk = hips[now] - hips[(now + np.arange(80)) % 480].min()
        assert sunk > 0.02, landing
        whole = points[[now - 12, (now + 40) % 480]]
        assert np.max([_bend_deg(whole, *LEG[side])[1] for side in "LR"]) > 30, landing


def test_moves_that_keep_their_feet_have_their_beat_at_the_most_of_them() -> None:
    lowest = loop("squats", 480)[:, Joint.PELVIS, 1]
    assert lowest[round(contacts("squats")[0] * 480)] < lowest.min() + 0.01
    highest = loop("sky-reach", 480)[:, Joint.HAND_L, 1]
    assert highest[round(contacts("sky-reach")[0] * 480)] > highest.max() - 0.05


@pytest.mark.parametrize("name", STANCES)
def test_a_stance_stands_on_the_floor_and_keeps_to_itself(name: str) -> None:
    points = loop(name, MOMENTS)
    assert all(bearing(moment) & set(FEET) for moment in points)
    reach = 0.5 if name == "arms-apart" else 0.4  # who shows an arm's length takes one
    assert np.hypot(points[..., 0], points[..., 2]).max() < reach
    assert points[..., 1].min() > -0.004


def test_who_waits_or_hangs_loose_does_not_move_and_who_shakes_does() -> None:
    moved = {name: float(np.ptp(loop(name, 48), axis=0).max()) for name in STANCES}
    assert [name for name, most in moved.items() if most < 1e-9] == [
        "standing-ready",
        "sitting-ready",
        "arms-apart",
        "hand-up",
        "tying-laces",
        "arms-hanging",
    ]
    assert moved["shaking-out"] > 0.05


def test_a_pose_is_the_loop_at_its_phase_and_wraps() -> None:
    but_hands = [joint for joint in Joint if joint not in (Joint.HAND_L, Joint.HAND_R)]
    np.testing.assert_array_equal(pose("march", 0.25).points[but_hands], loop("march", 480)[120, but_hands])
    np.testing.assert_array_equal(pose("march", 1.25).points, pose("march", 0.25).points)
    np.testing.assert_array_equal(pose("march", 0.9999).points, pose("march", 0.0).points)


def test_poses_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        pose("march", 0.0).points[0, 0] = 1.0


def test_seated_moves_sit_on_their_seat_with_feet_on_the_floor() -> None:
    for slug in SLUGS:
        shown = pose(slug, 0.3)
        assert (shown.seat is not None) == slug.startswith("seated-")
        if shown.seat is not None:
            assert shown[Joint.PELVIS][1] - shown.seat == pytest.approx(
                0.058, abs=0.002
            )  # the flesh of the seat
            assert shown.bearing & set(FEET)


def test_the_phase_follows_the_catalogues_tempo_unless_told_otherwise() -> None:
    tempo_hz = catalogue()["march"].tempo_hz
    assert phase_at("march", 0.25 / tempo_hz) == pytest.approx(0.25)
    assert phase_at("march", 0.25, tempo_hz=3.0) == pytest.approx(0.75)
    assert phase_at("march", 1000.0, tempo_hz=0.25) == pytest.approx(0.0)


def test_an_unknown_move_is_told_by_name() -> None:
    with pytest.raises(NotFoundError, match=r"^There is no figure for the move 'levitate'\.$"):
        pose("levitate", 0.0)


def test_a_pretend_rope_is_overhead_at_the_start_and_under_the_feet_in_the_air() -> None:
    start, middle = pose("pretend-rope", 0.0), pose("pretend-rope", 0.5)
    assert start.hints[0][:, 1].max() > start[Joint.HEAD][1] + 0.1
    feet = middle.points[list(FEET), 1]
    assert 0 <= middle.hints[0][:, 1].min() < feet.min()


def test_a_trail_ends_at_its_joint() -> None:
    shown = pose("arm-circles", 0.4)
    np.testing.assert_array_equal(shown.hints[0][-1], shown[Joint.HAND_R])


def _clockwise_deg(start: Array, end: Array) -> float:
    right, up, _ = DIAL_VIEW.project(end - start)
    return float(np.degrees(np.arctan2(right, up)) % 360)


@settings(deadline=None)
@given(minute=st.integers(0, 719))
def test_the_arms_lie_as_the_hands_of_the_clock_lie_on_the_picture(minute: int) -> None:
    # The dial's own rule: the hour hand moves half a degree a minute, the minute hand six.
    hour_deg, minute_deg = minute / 2, minute % 60 * 6.0
    shown = clock_arms(hour_deg, minute_deg)
    found = {}
    for side in ("L", "R"):
        shoulder, elbow, wrist = (shown[Joint[f"{name}_{side}"]] for name in ("SHOULDER", "ELBOW", "WRIST"))
        kind = "minute" if np.dot(elbow - shoulder, wrist - elbow) > 0 else "hour"
        found[kind] = _clockwise_deg(shoulder, wrist if kind == "minute" else elbow)
    assert set(found) == {"hour", "minute"}
    assert abs((found["hour"] - hour_deg + 180) % 360 - 180) < 1e-6
    assert abs((found["minute"] - minute_deg + 180) % 360 - 180) < 1e-6


@settings(deadline=None)
@given(minute=st.integers(0, 719))
def test_making_a_clock_stretches_no_bone(minute: int) -> None:
    shown = clock_arms(minute / 2, minute % 60 * 6.0).points
    standing = clock_arms(180.0, 180.0).points
    for start, end in BONES:
        length = np.linalg.norm(shown[start] - shown[end])
        assert length == pytest.approx(np.linalg.norm(standing[start] - standing[end]))


def test_at_three_oclock_the_hour_elbow_points_to_the_classs_right_and_the_other_arm_up() -> None:
    shown = clock_arms(90.0, 0.0)
    assert shown[Joint.ELBOW_L][0] > shown[Joint.SHOULDER_L][0] + 0.15
    assert shown[Joint.HAND_R][1] > shown[Joint.HEAD][1] + 0.1


def test_a_figure_that_looks_right_has_its_nose_on_the_right_of_a_side_view() -> None:
    standing = clock_arms(180.0, 180.0)
    head, face = View.SIDE.project(standing.points[[Joint.HEAD, Joint.FACE]])
    assert face[0] > head[0] + 0.07


@pytest.mark.parametrize("view", list(View))
def test_every_view_is_seen_without_stretching(view: View) -> None:
    np.testing.assert_allclose(view.axes @ view.axes.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(view.axes) == pytest.approx(1.0)  # not mirrored


def test_a_hand_follows_through_and_keeps_its_length() -> None:
    """A free hand trails behind its forearm while the arm swings; one that bears weight stays in line."""
    keyed = loop("march", 480)
    shown = np.stack([pose("march", step / 480).points for step in range(480)])
    wrist, hand = Joint.WRIST_L, Joint.HAND_L
    assert np.allclose(
        np.linalg.norm(shown[:, hand] - shown[:, wrist], axis=1),
        np.linalg.norm(keyed[:, hand] - keyed[:, wrist], axis=1),
    )
    swing = np.roll(keyed[:, wrist], -1, axis=0) - np.roll(keyed[:, wrist], 1, axis=0)
    behind = ((shown[:, hand] - keyed[:, hand]) * swing).sum(axis=1)
    assert (behind < 0).mean() > 0.8
    assert np.abs(shown - keyed).max() > 0.01
    planted = np.stack([pose("bear-hold", step / 48).points for step in range(48)])
    assert np.allclose(planted, loop("bear-hold", 480)[::10])


def test_loose_hair_is_below_a_head_that_rises_and_above_one_that_falls() -> None:
    whole = loop("pogo-jumps", 480)[:, Joint.HEAD, 1]
    rising, falling = (int(np.argmax(way * (np.roll(whole, -1) - whole))) for way in (1, -1))
    assert pose("pogo-jumps", rising / 480).drag[1] < -0.005
    assert pose("pogo-jumps", falling / 480).drag[1] > 0.005
    assert np.abs(pose("sit-hold", 0.25).drag).max() < 0.002


def test_every_move_says_which_limbs_do_it() -> None:
    assert {slug for slug, each in ANIMATIONS.items() if each.works is not None} == set(catalogue())
    assert pose("squats", 0.0).works == "legs"


@pytest.mark.parametrize("lifted", ["L", "R"])
def test_the_tree_keeps_its_foot_below_the_knee_as_its_caution_says(lifted: str) -> None:
    """A foot against the side of the knee bends it where it cannot bend (common practice, no source)."""
    points, standing = loop("tree", MOMENTS), "R" if lifted == "L" else "L"
    foot = points[:, [Joint[f"{part}_{lifted}"] for part in ("ANKLE", "HEEL", "BALL", "TOE")], 1]
    assert (points[:, Joint[f"KNEE_{standing}"], 1] - foot.max(axis=1)).min() > 0.05


@pytest.mark.parametrize("slug", ["one-leg-stand", "tree", "aeroplane", "knee-hug"])
def test_a_balance_on_one_leg_is_shown_on_both(slug: str) -> None:
    points = loop(slug, MOMENTS)
    lowest = [
        points[:, [Joint[f"{part}_{side}"] for part in ("HEEL", "BALL", "TOE")], 1].min(axis=1)
        for side in "LR"
    ]
    assert [float((foot > 0.03).mean()) for foot in lowest] == pytest.approx([0.4, 0.4], abs=0.1)


def test_hands_are_where_the_words_have_them() -> None:
    """ "Hands out for balance", arms "like wings", and knees that do not kneel."""
    wrists = [Joint.WRIST_L, Joint.WRIST_R]
    assert np.abs(loop("calf-raises", MOMENTS)[:, wrists, 0]).min() > 0.2
    assert np.abs(loop("aeroplane", MOMENTS)[:, wrists, 0].mean(axis=0)).min() > 0.3
    assert loop("bear-hold", MOMENTS)[:, [Joint.KNEE_L, Joint.KNEE_R], 1].min() > 0.1
