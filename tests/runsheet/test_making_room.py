"""What is left of a lesson gets shorter by what is put in, and nothing else breaks."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from hypothesis import given, settings
from hypothesis import strategies as st

from caller.deciding import LessonPart
from caller.runsheet import Board, Call, CallKind, Countdown
from caller.runsheet.making_room import (
    LEAST_THINK_S,
    LEAST_THINK_SHARE,
    TOLERANCE_S,
    first_that_fits,
    make_room,
)

BREATH: CallKind = "breath"
SAID_S = {"ready": 4.0, "question": 3.0, "choices": 12.0, "move": 1.5, "time-up": 3.0, "answer": 5.0,
          "reason": 12.0, "catch-up": 9.0, "breath": 3.0, "close": 20.0}  # fmt: skip


def call(
    number: int, kind: CallKind, part: LessonPart, in_round: int | None, think_s: int = 0, hold_s: float = 0.0
) -> Call:
    return Call(
        number=number,
        kind=kind,
        part=part,
        round=in_round,
        lines=(),
        board=Board(layout="title"),
        countdown=Countdown(seconds=think_s) if think_s else None,
        hold_s=hold_s,
    )


def lasts(each: Call) -> float:
    return SAID_S[each.kind] + (each.countdown.seconds if each.countdown else 0) + each.hold_s


def total(calls: Sequence[Call]) -> float:
    return sum(lasts(each) for each in calls)


def rest_of_lesson(
    thinks: Sequence[int], catch_ups: Sequence[int], *, taught_again: bool = False
) -> list[Call]:
    calls: list[Call] = []

    def add(
        kind: CallKind, part: LessonPart, in_round: int | None, think_s: int = 0, hold_s: float = 0.0
    ) -> None:
        calls.append(call(100 + len(calls), kind, part, in_round, think_s, hold_s))

    if taught_again:
        add("reason", "reteach", 1)
        add("move", "reteach", 1, 20)
    for index, (think_s, count) in enumerate(zip(thinks, catch_ups, strict=True)):
        part: LessonPart = "calm" if index == len(thinks) - 1 else "round"
        kinds: list[CallKind] = ["ready", "question", "choices", "move", "time-up", "answer", "reason"]
        again: list[CallKind] = ["catch-up"]
        for kind in (*kinds, *again * count, BREATH):
            add(kind, part, index + 2, think_s if kind == "move" else 0, 2.0 if kind == "breath" else 0.0)
    add("close", "close", None)
    add("close", "close", None)
    return calls


lessons = st.integers(0, 9).flatmap(
    lambda rounds: st.builds(
        rest_of_lesson,
        st.lists(st.integers(5, 40), min_size=rounds, max_size=rounds),
        st.lists(st.integers(0, 2), min_size=rounds, max_size=rounds),
        taught_again=st.booleans(),
    )
)


@settings(deadline=None)
@given(rest=lessons, needed_s=st.floats(0, 150))
def test_the_lesson_ends_within_ten_seconds_of_its_planned_end(rest: list[Call], needed_s: float) -> None:
    room = make_room(rest, [lasts(each) for each in rest], needed_s)
    if room is not None:
        assert abs(total(room) + needed_s - total(rest)) <= TOLERANCE_S


@settings(deadline=None)
@given(rest=lessons, needed_s=st.floats(0, 150))
def test_the_calm_round_the_close_and_what_is_taught_again_are_kept_in_order(
    rest: list[Call], needed_s: float
) -> None:
    room = make_room(rest, [lasts(each) for each in rest], needed_s)
    if room is None:
        return
    numbers = [each.number for each in room]
    assert numbers == sorted(numbers)
    assert set(numbers) <= {each.number for each in rest}

    def kept(calls: Sequence[Call], part: LessonPart) -> list[Call]:
        return [each for each in calls if each.part == part]

    assert kept(room, "close") == kept(rest, "close")
    assert kept(room, "reteach") == kept(rest, "reteach")
    calm = [each.kind for each in kept(room, "calm") if each.kind != "catch-up"]
    assert calm == [each.kind for each in kept(rest, "calm") if each.kind != "catch-up"]


@settings(deadline=None)
@given(rest=lessons, needed_s=st.floats(0, 150))
def test_at_most_one_round_goes_and_the_others_keep_all_but_their_catch_up(
    rest: list[Call], needed_s: float
) -> None:
    room = make_room(rest, [lasts(each) for each in rest], needed_s)
    if room is None:
        return

    def kinds(calls: Sequence[Call]) -> dict[int | None, list[CallKind]]:
        rounds = [each for each in calls if each.part in ("round", "calm")]
        return {
            number: [each.kind for each in group if each.kind != "catch-up"]
            for number, group in groupby(rounds, lambda each: each.round)
        }

    before, after = kinds(rest), kinds(room)
    assert len(before) - len(after) in (0, 1)
    assert all(after[number] == before[number] for number in after)


@settings(deadline=None)
@given(rest=lessons, needed_s=st.floats(0, 150))
def test_no_think_time_falls_below_its_floor(rest: list[Call], needed_s: float) -> None:
    planned = {each.number: each.countdown.seconds for each in rest if each.countdown}
    for each in make_room(rest, [lasts(each) for each in rest], needed_s) or ():
        if each.countdown:
            floor = max(LEAST_THINK_S, round(LEAST_THINK_SHARE * planned[each.number]))
            assert each.countdown.seconds >= min(floor, planned[each.number])


def test_a_little_room_is_made_by_think_time_alone() -> None:
    rest = rest_of_lesson([25, 25, 25], [1, 1, 1])
    room = make_room(rest, [lasts(each) for each in rest], 21)
    assert room is not None
    assert [each.countdown.seconds for each in room if each.countdown] == [18, 18, 18]
    assert len(room) == len(rest)


def test_more_room_takes_the_nearest_catch_up_and_then_the_middle_round() -> None:
    rest = rest_of_lesson([25, 25, 25, 25], [1, 1, 1, 1])
    lengths = [lasts(each) for each in rest]
    room = make_room(rest, lengths, 48)
    assert room is not None
    assert [each.round for each in room if each.kind == "catch-up"] == [3, 4, 5]
    room = make_room(rest, lengths, 120)
    assert room is not None
    assert {each.round for each in room if each.part == "round"} == {2, 4}


def test_where_only_the_calm_round_is_left_there_is_no_room_for_a_whole_branch_but_for_a_short_one() -> None:
    rest = rest_of_lesson([25], [1])
    slow = call(200, "reason", "reteach", 1)
    whole = [slow, call(201, "choices", "reteach", 1), call(202, "move", "reteach", 1, 25)]
    fitted = first_that_fits([whole, [slow]], rest, lasts)
    assert fitted is not None
    assert fitted[0] == slow
    assert [each.part for each in fitted].count("reteach") == 1
    assert abs(total(fitted) - total(rest)) <= TOLERANCE_S


def test_before_the_close_there_is_no_room_at_all() -> None:
    rest = rest_of_lesson([], [])
    assert first_that_fits([[call(200, "reason", "reteach", 1)]], rest, lasts) is None
