"""The wrong reading to offer."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.clock import ALL_TIMES, ClockError, ClockTime, smallest_difference_deg
from caller.clock.ladder import STEPS, Step, step, step_of, times_at
from caller.clock.mixup_rules import swap_is_right
from caller.clock.mixups import mixup, wrong_readings
from caller.clock.said_and_shown import Manner
from caller.clock.wrong import MINUTE_MARK_DEG, Candidate, choose, rank, refused
from tests.sampling import sampled

AT = ClockTime.parse
FIVES_TO = step("fives-to")
BOTH: tuple[Manner, ...] = ("analogue", "digital")
DIGITAL: tuple[Manner, ...] = ("digital",)


def found(candidates: tuple[Candidate, ...], time: str) -> Candidate:
    return next(each for each in candidates if each.time == AT(time))


def readings(candidates: tuple[Candidate, ...]) -> list[str]:
    return [str(each.time) for each in candidates]


@pytest.mark.parametrize("at_step", STEPS, ids=lambda each: each.code)
def test_every_time_at_every_step_has_a_fair_wrong_reading(at_step: Step) -> None:
    for time in ALL_TIMES[::3]:
        ranked = rank(time, step=at_step, manners=BOTH)
        legal = times_at(at_step if time in times_at(at_step) else step_of(time))
        explained = wrong_readings(time, BOTH)
        assert ranked
        assert len({each.time for each in ranked}) == len(ranked)
        for each in ranked:
            assert each.time != time
            assert each.time in legal
            assert each.apart_deg == smallest_difference_deg(time, each.time) >= MINUTE_MARK_DEG
            assert each.mixups == explained.get(each.time, frozenset())
            assert (each.kind == "mix-up") == bool(each.mixups)
            assert each.score == pytest.approx(sum(each.parts.values()))


@pytest.mark.parametrize("minimum_difference_deg", [12, 45, 100, 180])
def test_the_last_row_can_always_tell_the_choices_apart(minimum_difference_deg: float) -> None:
    for at_step in STEPS:
        for time in sampled(times_at(at_step)[::7], 5):
            ranked = rank(time, step=at_step, minimum_difference_deg=minimum_difference_deg, manners=BOTH)
            assert ranked
            assert all(each.apart_deg >= minimum_difference_deg for each in ranked)


def test_no_swap_is_offered_at_the_twelve_times_where_a_swap_is_right() -> None:
    for time in filter(swap_is_right, ALL_TIMES):
        for each in rank(time, step=FIVES_TO, manners=DIGITAL):
            assert not each.mixups & {"hands-swapped", "hands-swapped-closely", "minute-numeral-as-hour"}


def test_a_reading_as_near_as_the_step_asks_is_never_offered_as_wrong() -> None:
    # To the nearest five minutes, 4:37 is 4:35 or 4:40.
    assert not {"4:35", "4:40"} & set(readings(rank(AT("4:37"), step=FIVES_TO, manners=BOTH)))
    assert "4:35" in readings(rank(AT("4:37"), step=step("minutes"), manners=BOTH))
    reasons = {str(each.time): each.reason for each in refused(AT("4:37"), step=FIVES_TO, manners=BOTH)}
    assert (
        reasons["4:35"]
        == '4:35 is 4:37 as near as the step "Fives to the hour" reads, so it would be right too.'
    )


def test_the_best_wrong_reading_comes_from_a_mix_up_and_says_which() -> None:
    ranked = rank(AT("4:40"), step=FIVES_TO, manners=BOTH)
    swapped = ranked[0]
    assert str(swapped.time) == "8:20"
    assert (swapped.told, swapped.told_in) == ("hands-swapped", "analogue")
    assert swapped.tests == "both hands"
    assert swapped.why == (
        "8:20 comes from one mix-up: hands change places (Florida Department of Education, "
        "CPALMS standard 15298; clock reading of third graders in Muş, IOJPE: found). "
        "The dials differ by 120 degrees."
    )


def test_a_reading_that_several_mix_ups_explain_tells_less_and_says_so() -> None:
    ranked = rank(AT("4:40"), step=FIVES_TO, manners=BOTH)
    both = found(ranked, "5:40")
    assert both.mixups == {"hour-to-nearest", "hour-to-larger"}
    assert both.parts["clear"] == found(ranked, "8:20").parts["clear"] / 2
    assert both.why == (
        "5:40 comes from 2 mix-ups that it cannot tell apart: hour taken to the nearest numeral, "
        "hour taken as the larger numeral (Florida Department of Education, "
        "CPALMS standard 15298; Earnest, Gonzales & Plant 2018: found). "
        "The dials differ by 30 degrees."
    )


def test_what_the_class_shows_comes_first() -> None:
    ranked = rank(
        AT("4:40"), step=FIVES_TO, confused={"to-keeps-passed-hour": 0.8, "hands-swapped": 0.0}, manners=BOTH
    )
    assert str(ranked[0].time) == "3:40"
    assert "This class shows it (80%)." in ranked[0].why
    # What is known not to be a trouble is no news.
    assert found(ranked, "8:20").parts["news"] == 0
    assert found(ranked, "4:35").parts["news"] > 0


def test_a_mix_up_of_other_steps_comes_later_and_says_so() -> None:
    # Counting from the short hand gives 9:15 at 9:00, but nothing is counted yet at the quarters.
    early = found(rank(AT("9:00"), step=step("quarters"), manners=BOTH), "9:15")
    assert early.mixups == {"counted-from-hour-hand"}
    assert early.parts["step"] == 0
    assert "It matters more at other steps." in early.why
    later = found(rank(AT("9:00"), step=step("fives-past"), manners=BOTH), "9:15")
    assert later.score == pytest.approx(early.score + later.parts["step"])
    assert "other steps" not in later.why


def test_what_the_lesson_has_offered_already_comes_later() -> None:
    fresh = found(rank(AT("4:40"), step=FIVES_TO, manners=BOTH), "8:20")
    used = [frozenset({"hands-swapped"}), frozenset({"hands-swapped", "fives-one-more"})]
    again = found(rank(AT("4:40"), step=FIVES_TO, used=used, manners=BOTH), "8:20")
    assert again.parts["fresh"] == fresh.parts["fresh"] / 3
    assert "This lesson has offered it already (2 times)." in again.why
    assert "This lesson has offered it once already." in (
        found(rank(AT("4:40"), step=FIVES_TO, used=used[1:], manners=BOTH), "8:20").why
    )


def test_a_slip_of_the_other_wording_is_no_slip_here() -> None:
    assert found(rank(AT("4:40"), step=FIVES_TO, manners=["analogue"]), "5:20").mixups == {"past-for-to"}
    digital = rank(AT("4:40"), step=FIVES_TO, manners=["digital"])
    assert not any(each.time == AT("5:20") and each.mixups for each in digital)


def test_what_cannot_be_told_truly_comes_later_and_says_so() -> None:
    untold = found(rank(AT("7:40"), step=FIVES_TO, manners=["analogue"]), "8:35")
    told = found(rank(AT("7:40"), step=FIVES_TO, manners=["digital"]), "8:35")
    assert untold.mixups == {"hands-swapped"}
    assert untold.told is None
    assert told.told == "hands-swapped"
    assert told.score == pytest.approx(untold.score + told.parts["told"])
    assert "No sentence about it would be true of this dial" in untold.why


def test_both_neighbours_and_every_other_hour_may_be_offered() -> None:
    for at_step in STEPS:
        for time in times_at(at_step)[::5]:
            offered = {each.time for each in rank(time, step=at_step, manners=BOTH)}
            assert {time.plus(60 * hours) for hours in range(1, 12)} <= offered


def test_near_misses_and_other_times_come_last_under_their_own_name() -> None:
    ranked = rank(AT("12:00"), step=step("o-clock"), manners=BOTH)
    assert readings(ranked[:2]) == ["1:00", "11:00"]
    assert [each.kind for each in ranked] == ["near miss"] * 2 + ["other time"] * 9
    assert ranked[0].why == "1:00 is a near miss: no known mix-up gives it. The dials differ by 30 degrees."
    assert ranked[2].why == (
        "2:00 is just another time: no known mix-up gives it. The dials differ by 60 degrees."
    )
    assert ranked[0].tests == "hour hand"


def test_what_is_refused_says_why() -> None:
    reasons = {
        str(each.time): each.reason
        for each in refused(AT("4:40"), step=FIVES_TO, minimum_difference_deg=40, manners=BOTH)
    }
    assert reasons["8:23"] == 'The step "Fives to the hour" does not read 8:23.'
    assert reasons["4:35"] == "The dials of 4:35 and 4:40 differ by 30 degrees, and the last row can tell 40."
    assert "8:20" not in reasons


def test_what_is_refused_and_what_is_ranked_are_all_that_mix_ups_give() -> None:
    for time in ALL_TIMES[::11]:
        for at_step in STEPS:
            ranked = {
                each.time
                for each in rank(time, step=at_step, minimum_difference_deg=30, manners=BOTH)
                if each.mixups
            }
            left_out = {
                each.time for each in refused(time, step=at_step, minimum_difference_deg=30, manners=BOTH)
            }
            assert not ranked & left_out
            assert ranked | left_out == wrong_readings(time, BOTH).keys()


def test_a_difference_no_two_dials_have_is_refused() -> None:
    with pytest.raises(ClockError) as caught:
        rank(AT("4:40"), step=FIVES_TO, minimum_difference_deg=181, manners=BOTH)
    assert str(caught.value) == "Two dials differ by 0 to 180 degrees, not by 181."


@given(st.sampled_from(ALL_TIMES), st.sampled_from(STEPS), st.integers(), st.sampled_from([1, 2]))
def test_choices_all_differ_from_the_truth_and_from_each_other(
    time: ClockTime, at_step: Step, seed: int, count: int
) -> None:
    chosen = choose(
        time, step=at_step, count=count, seed=random.Random(seed), minimum_difference_deg=30, manners=BOTH
    )
    assert len(chosen) == count
    offered = [time, *(each.time for each in chosen)]
    for place, a in enumerate(offered):
        assert all(smallest_difference_deg(a, b) >= 30 for b in offered[:place])
    again = choose(
        time, step=at_step, count=count, seed=random.Random(seed), minimum_difference_deg=30, manners=BOTH
    )
    assert again == chosen


def test_what_a_lesson_has_offered_is_offered_less_again() -> None:
    def offered(used: list[frozenset[str]]) -> int:
        chosen = [
            choose(AT("4:40"), step=FIVES_TO, seed=random.Random(seed), manners=BOTH, used=used)[0]
            for seed in range(60)
        ]
        return sum("hour-to-nearest" in each.mixups for each in chosen)

    assert offered([frozenset({"hour-to-nearest"})] * 3) < offered([]) / 2


def test_what_a_class_mixes_up_is_offered_more() -> None:
    def offered(confused: dict[str, float]) -> int:
        chosen = [
            choose(AT("4:40"), step=FIVES_TO, seed=random.Random(seed), manners=BOTH, confused=confused)[0]
            for seed in range(120)
        ]
        return sum("hour-to-nearest" in each.mixups for each in chosen)

    assert offered({"hour-to-nearest": 1.0}) > offered({})


def test_a_lesson_is_varied() -> None:
    used: list[frozenset[str]] = []
    chance = random.Random(7)
    for time in chance.sample(times_at(FIVES_TO), 12):
        used.append(choose(time, step=FIVES_TO, seed=chance, used=used, manners=BOTH)[0].mixups)
    most = max(sum(name in names for names in used) for name in set().union(*used))
    assert most <= 3
    assert len(set().union(*used)) >= 6
    assert all(mixup(name) for names in used for name in names)


def test_too_many_choices_for_a_poor_view_are_refused_kindly() -> None:
    with pytest.raises(ClockError) as caught:
        choose(
            AT("12:00"),
            step=step("o-clock"),
            count=3,
            seed=random.Random(1),
            minimum_difference_deg=170,
            manners=BOTH,
        )
    assert str(caught.value) == (
        "4 readings that all differ by 170 degrees cannot be found for 12:00: "
        "offer fewer choices, or use a larger dial."
    )
