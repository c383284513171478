"""How different two moves look: its arithmetic, and where the line is drawn."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.errors import NotFoundError
from caller.moves.pairs import TELLABLE, difference
from caller.moves.poses import ANIMATIONS, MIRRORED, Joint, View, loop

moves = st.sampled_from(sorted(ANIMATIONS))

# Judged by looking at the filmstrips: pairs that a glance mixes up, and pairs that it does not.
ALIKE = [
    ("jog-on-the-spot", "heel-flicks"),
    ("jog-on-the-spot", "high-knees"),
    ("march", "jog-on-the-spot"),
    ("march", "high-knees"),
    ("march", "scissor-steps"),
    ("bear-hold", "cat-stretch"),
    ("plank-hold", "kneeling-push-ups"),
    ("plank-hold", "bear-hold"),
    ("squats", "sit-hold"),
    ("pogo-jumps", "pretend-rope"),
    ("pogo-jumps", "calf-raises"),
    ("calf-raises", "tiptoe-stand"),
    ("tiptoe-stand", "heel-to-toe-stand"),
    ("step-touch", "side-steps"),
    ("star-jumps", "sky-reach"),
    ("forward-lunges", "reverse-lunges"),
    ("side-bends", "side-stretch"),
    ("squats", "sumo-squats"),
]
CLEAR = [
    ("star-jumps", "squats"),
    ("star-jumps", "jog-on-the-spot"),
    ("star-jumps", "side-to-side-jumps"),
    ("jog-on-the-spot", "squats"),
    ("march", "arm-circles"),
    ("march", "squats"),
    ("squats", "forward-lunges"),
    ("squats", "torso-twists"),
    ("one-leg-stand", "tree"),
    ("one-leg-stand", "aeroplane"),
    ("tree", "aeroplane"),
    ("knee-hug", "star-balance"),
    ("plank-hold", "bridge"),
    ("sky-reach", "forward-fold"),
    ("butterfly-sit", "cat-stretch"),
    ("seated-march", "seated-star-arms"),
    ("seated-twists", "seated-rowing"),
]


def _by_hand(a: str, b: str) -> float:
    """The definition, spelt out: every start, both sides, both views."""
    names = {"PELVIS", "NECK", "HEAD", "SHOULDER", "ELBOW", "HAND", "KNEE", "ANKLE", "TOE"}
    seen = [joint for joint in Joint if joint.name.partition("_")[0] in names]
    first, second = (
        points - points[:, Joint.PELVIS].mean(axis=0) * (1, 0, 1) for points in (loop(a), loop(b))
    )
    least = np.inf
    for other in (second, second[:, MIRRORED] * (-1, 1, 1)):
        for start in range(48):
            gap = (first - np.roll(other, start, axis=0))[:, seen]
            front, side = np.sum(gap[..., [0, 1]] ** 2, axis=-1), np.sum(gap[..., [2, 1]] ** 2, axis=-1)
            least = min(least, float(np.mean((front + side) / 2)))
    return float(np.sqrt(least))


@pytest.mark.parametrize(("a", "b"), [("march", "squats"), ("tree", "aeroplane"), ("star-jumps", "curl-ups")])
def test_the_quick_way_gives_what_the_definition_gives(a: str, b: str) -> None:
    assert difference(a, b) == pytest.approx(_by_hand(a, b), abs=1e-9)


@settings(deadline=None)
@given(a=moves, b=moves)
def test_it_is_the_same_both_ways_and_nought_only_for_the_same_move(a: str, b: str) -> None:
    assert difference(a, b) == difference(b, a)
    if a == b:
        assert difference(a, b) == pytest.approx(0.0, abs=1e-6)
    else:
        assert difference(a, b) > 0.03


@settings(deadline=None)
@given(a=moves, b=moves, c=moves)
def test_a_detour_is_never_shorter(a: str, b: str, c: str) -> None:
    assert difference(a, c) <= difference(a, b) + difference(b, c) + 1e-9


@pytest.mark.parametrize(("a", "b"), ALIKE)
def test_moves_that_a_glance_mixes_up_are_under_the_line(a: str, b: str) -> None:
    assert difference(a, b) < TELLABLE


@pytest.mark.parametrize(("a", "b"), CLEAR)
def test_moves_that_a_glance_tells_apart_are_over_the_line(a: str, b: str) -> None:
    assert difference(a, b) >= TELLABLE


def test_the_line_lies_in_the_gap_between_the_two_lists() -> None:
    nearest = max(difference(a, b) for a, b in ALIKE)
    farthest = min(difference(a, b) for a, b in CLEAR)
    assert nearest < TELLABLE < farthest
    assert farthest - nearest > 0.005


def test_the_line_leaves_every_move_many_partners() -> None:
    for move in ANIMATIONS:
        partners = [other for other in ANIMATIONS if other != move and difference(move, other) >= TELLABLE]
        assert len(partners) >= 30, move


def test_the_two_views_are_the_figures_front_and_side() -> None:
    # The definition's planes are those of the pictures, apart from the height and turn of the eye.
    assert View.FRONT.value[0] == 0
    assert View.SIDE.value[0] == pytest.approx(90, abs=10)


def test_an_unknown_move_is_told_by_name() -> None:
    with pytest.raises(NotFoundError, match=r"^There is no figure for the move 'levitate'\.$"):
        difference("march", "levitate")
