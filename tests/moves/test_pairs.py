from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import pytest

from caller.errors import NotFoundError
from caller.moves import Move, catalogue
from caller.moves.pairs import (
    EFFORT_GAP_MET,
    TELLABLE,
    Conditions,
    difference,
    fair_pairs,
    fair_threes,
    objections,
)

MOVES = catalogue()
CLEAR_FLOOR = Conditions(shod=False)
SHOD = Conditions()
SMALL = Conditions(space_radius_m=0.7)
SEATED = Conditions(chairs=True)
HALLS = {
    "usual hall": SHOD,
    "clear floor": CLEAR_FLOOR,
    "little space": SMALL,
    "wet floor": Conditions(wet=True),
    "cold floor without shoes": Conditions(shod=False, floor_ok=False),
    "one child sits": Conditions(seated_needed=True),
    "all sit": SEATED,
    "quiet": Conditions(quiet_needed=True),
    "no jumps": Conditions(maximum_impact=1),
    "some avoided": Conditions(avoid=frozenset({"squats", "star-jumps", "march"})),
}

every_hall = pytest.mark.parametrize("hall", HALLS.values(), ids=HALLS)


def apart(a: str, b: str) -> float:
    return 10 * TELLABLE


def alike(a: str, b: str) -> float:
    return 0.0


def codes(a: str, b: str, conditions: Conditions = SHOD, previous: Sequence[str] = ()) -> list[str]:
    found = objections(a, b, conditions=conditions, previous=previous, difference=apart)
    return [objection.code for objection in found]


def sentences(a: str, b: str, conditions: Conditions = SHOD, previous: Sequence[str] = ()) -> list[str]:
    found = objections(a, b, conditions=conditions, previous=previous, difference=apart)
    return [objection.sentence for objection in found]


def breaks(a: Move, b: Move, hall: Conditions, previous: Sequence[str]) -> bool:
    """The rule once more, from the catalogue's facts alone."""
    before = [MOVES[slug] for slug in previous]
    for move in (a, b):
        if (
            move.slug in hall.avoid
            or move.radius_m > hall.space_radius_m
            or move.impact > hall.maximum_impact
        ):
            return True
        if (move.kind == "seated") != hall.chairs or (move.noisy and hall.quiet_needed):
            return True
        if move.floor and (hall.wet or hall.shod or not hall.floor_ok):
            return True
        if move.impact >= 2 and (hall.wet or not hall.shod or any(last.impact >= 2 for last in before)):
            return True
    if before and len({move.muscle for move in (a, b, *before)}) == 1:
        return True
    younger, older = (
        abs(getattr(a.effort, band) - getattr(b.effort, band)) for band in ("met_6_9", "met_10_12")
    )
    if max(younger, older) > EFFORT_GAP_MET - 0.05:
        return True
    if a.seated == b.seated or (a.jumps and b.jumps):
        return True
    if hall.seated_needed and difference(a.seated, b.seated) < TELLABLE:
        return True
    return difference(a.slug, b.slug) < TELLABLE


@every_hall
def test_every_pair_the_planner_can_choose_keeps_the_rule_and_no_other_pair_does(hall: Conditions) -> None:
    chosen = set(fair_pairs(hall))
    for a, b in combinations(MOVES.values(), 2):
        pair = (a.slug, b.slug)
        assert (pair in chosen) == (not breaks(a, b, hall, ())), pair
        assert (pair in chosen) == (not objections(*pair, conditions=hall)), pair


@every_hall
def test_after_any_fair_pair_there_is_another(hall: Conditions) -> None:
    for pair in fair_pairs(hall):
        assert fair_pairs(hall, pair, apart), pair


@pytest.mark.parametrize("name", ["usual hall", "clear floor", "all sit", "no jumps"])
def test_three_choices_are_fair_two_by_two_and_there_are_some(name: str) -> None:
    pairs = fair_pairs(HALLS[name])
    threes = fair_threes(pairs)
    assert threes
    for three in threes:
        assert len(set(three)) == 3
        assert all(pair in pairs for pair in combinations(three, 2))


def test_a_choice_can_be_kept_to_some_moves() -> None:
    calm = [move.slug for move in MOVES.values() if move.kind == "stretch"]
    pairs = fair_pairs(SHOD, among=calm)
    assert pairs
    assert {slug for pair in pairs for slug in pair} <= set(calm)


def test_a_hall_in_which_nothing_fits_has_no_pairs() -> None:
    assert fair_pairs(Conditions(space_radius_m=0.1)) == ()


@every_hall
def test_no_two_choices_are_one_sitting_down_or_both_jumps(hall: Conditions) -> None:
    for a, b in fair_pairs(hall):
        assert MOVES[a].seated != MOVES[b].seated
        assert not (MOVES[a].jumps and MOVES[b].jumps)
    assert "alike-seated" in codes("march", "knee-lifts", hall)


def test_a_fair_pair_has_no_objections() -> None:
    assert codes("squats", "standing-punches") == []


def test_a_pair_has_the_same_objections_in_either_order() -> None:
    for a, b in combinations(MOVES, 2):
        assert sorted(codes(a, b, SMALL)) == sorted(codes(b, a, SMALL))


def test_the_easy_move_would_tempt() -> None:
    assert sentences("slow-breaths", "star-jumps") == [
        "Slow breaths: 5.8 METs easier than star jumps, so it would tempt."
    ]


def test_an_effort_gap_of_exactly_the_limit_is_too_much() -> None:
    """Torso twists 2.8 against mild stretching 2.3 pass; 4.1 - 2.5 = 1.6 and 2.8 - 1.3 = 1.5 do not."""
    assert codes("torso-twists", "side-bends") == []
    assert codes("squats", "tree") == ["effort"]
    assert codes("torso-twists", "slow-breaths") == ["effort"]


def test_the_same_move_twice_is_no_choice() -> None:
    assert sentences("squats", "squats") == ["Both choices are squats."]


def test_too_little_space_is_said_with_both_numbers() -> None:
    assert sentences("squats", "forward-lunges", Conditions(space_radius_m=0.8)) == [
        "Step forward and bend: each child needs 1.0 m all round and has 0.8 m."
    ]


def test_high_impact_does_not_follow_high_impact() -> None:
    assert sentences("star-jumps", "heel-flicks", SHOD, ["pogo-jumps", "one-leg-hops"]) == [
        "Star jumps: high impact again, right after bounces.",
        "Heel flicks: high impact again, right after bounces.",
    ]
    assert codes("star-jumps", "heel-flicks", SHOD, ["curl-ups", "standing-punches"]) == []


def test_no_child_works_the_same_muscles_in_both_of_two_bouts() -> None:
    assert sentences("squats", "reverse-lunges", previous=("sumo-squats", "forward-lunges")) == [
        "Squats and step back and bend: the same muscles (thighs) again, for every child."
    ]
    assert codes("squats", "standing-punches", previous=("sumo-squats", "forward-lunges")) == []


@pytest.mark.parametrize(
    ("hall", "expected"),
    [
        (SHOD, ["Plank: hands or body touch the floor, which is walked on in shoes."]),
        (Conditions(shod=False, wet=True), ["Plank: hands or body touch the floor, which is wet."]),
        (
            Conditions(shod=False, floor_ok=False),
            ["Plank: hands or body touch the floor, which is not fit to lie on."],
        ),
        (CLEAR_FLOOR, []),
    ],
)
def test_the_floor_is_kept_for_clean_dry_floors(hall: Conditions, expected: list[str]) -> None:
    assert sentences("plank-hold", "calf-raises", hall) == expected


def test_nobody_jumps_on_a_wet_floor_or_in_socks() -> None:
    assert sentences("star-jumps", "side-steps", Conditions(wet=True))[:1] == [
        "Star jumps: no jumping or running on a wet floor."
    ]
    assert sentences("star-jumps", "jog-on-the-spot", CLEAR_FLOOR) == [
        "Star jumps: no jumping or running in socks or bare feet.",
        "Jog on the spot: no jumping or running in socks or bare feet.",
    ]


def test_avoided_moves_loud_moves_and_high_impact_are_named() -> None:
    hall = Conditions(avoid=frozenset({"star-jumps"}), maximum_impact=2, quiet_needed=True)
    assert sentences("star-jumps", "heel-flicks", hall) == [
        "Star jumps: this class avoids it.",
        "Star jumps: its impact of 3 is above the limit of 2.",
        "Star jumps: its landings are loud, and quiet is needed.",
        "Heel flicks: its landings are loud, and quiet is needed.",
    ]


def test_seated_moves_go_with_chairs() -> None:
    assert sentences("seated-march", "seated-punches") == [
        "Seated march: it needs a chair for every child.",
        "Seated punches: it needs a chair for every child.",
    ]
    assert sentences("seated-march", "squats", SEATED) == [
        "Squats: the class sits, and this needs standing room."
    ]


def test_moves_that_look_alike_are_told() -> None:
    found = objections("squats", "sumo-squats", conditions=SHOD, difference=alike)
    assert [each.sentence for each in found] == [
        "Squats and sumo squats: too much alike from across the hall."
    ]


def test_seated_versions_are_told_apart_too() -> None:
    """Curl-ups and squats are both rowing in a chair."""
    hall = Conditions(shod=False, seated_needed=True)
    assert sentences("curl-ups", "squats", hall) == [
        "Curl-ups and squats: their seated versions are too much alike."
    ]
    assert codes("curl-ups", "squats", CLEAR_FLOOR) == ["alike-seated"]  # one sitting down always counts


def test_an_unknown_move_is_not_judged() -> None:
    with pytest.raises(NotFoundError):
        objections("squats", "handstand", conditions=SHOD, difference=apart)
