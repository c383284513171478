"""Keys, easing and the closing of the loop."""

import numpy as np
import pytest

from caller.moves.poses.keyframes import EASES, Animation, key
from caller.moves.poses.skeleton import View


def _at(animation: Animation, phase: float, channel: str) -> list[float]:
    return [round(value, 9) for value in animation.channels(np.array([phase]))[channel][0].tolist()]


def test_every_ease_starts_at_nought_ends_at_one_and_never_turns_back() -> None:
    share = np.linspace(0, 1, 101)
    for curve in EASES.values():
        eased = curve(share)
        assert eased[0] == 0
        assert eased[-1] == 1
        assert np.all(np.diff(eased) >= 0)


def test_a_body_thrown_up_and_falling_follows_a_parabola() -> None:
    jump = Animation(view=View.FRONT, keys=(key(0.0, "fall", at=(0, 0, 0)), key(0.5, "rise", at=(0, 1, 0))))
    phases = np.linspace(0, 1, 51)
    height = jump.channels(phases)["at"][:, 1]
    np.testing.assert_allclose(height, 1 - (2 * phases - 1) ** 2, atol=1e-12)


def test_a_plural_channel_sets_both_sides() -> None:
    assert key(0.0, arms=(1, 2, 3, 4)).channels == {"arm_l": (1, 2, 3, 4), "arm_r": (1, 2, 3, 4)}
    assert key(0.0, knees=5).channels == {"knee_l": (5.0,), "knee_r": (5.0,)}
    assert set(key(0.0, feet=(0, 0, 0, 0)).channels) == {"foot_l", "foot_r"}


def test_a_misspelt_channel_or_a_missing_value_is_told() -> None:
    with pytest.raises(ValueError, match=r"^channel 'leg' does not take \(1, 2, 3\)$"):
        key(0.0, leg=(1, 2, 3))
    with pytest.raises(ValueError, match=r"^channel 'arms' does not take \(1, 2\)$"):
        key(0.0, arms=(1, 2))


def test_a_channel_goes_round_the_end_of_the_loop_to_its_first_key() -> None:
    turning = Animation(
        view=View.FRONT, keys=(key(0.2, "linear", at=(0, 0, 0)), key(0.7, "linear", at=(1, 0, 0)))
    )
    assert _at(turning, 0.95, "at") == [0.5, 0, 0]
    assert _at(turning, 0.2, "at") == _at(turning, 1.2, "at") == [0, 0, 0]


def test_a_key_at_one_lets_a_full_turn_run_on() -> None:
    circling = Animation(
        view=View.SIDE, keys=(key(0.0, arms=(0, 90, 0, 0)), key(1.0, "linear", arms=(360, 90, 0, 0)))
    )
    assert _at(circling, 0.75, "arm_l")[0] == 270


def test_an_alternating_move_mirrors_its_first_half() -> None:
    swaying = Animation(
        view=View.FRONT,
        alternates=True,
        keys=(key(0.0, at=(0.1, 0, 0.2), chest=(5, 6, 7), arm_l=(1, 2, 3, 4)),),
    )
    assert _at(swaying, 0.5, "at") == [-0.1, 0, 0.2]
    assert _at(swaying, 0.5, "chest") == [-5, 6, -7]
    assert _at(swaying, 0.5, "arm_r") == [1, 2, 3, 4]
