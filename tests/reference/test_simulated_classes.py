"""The knowledge model against simulated children who know nothing of it.

Every child is simulated alone: it knows a step or does not, learns it in some lesson, forgets it between
lessons, may hold a mix-up, guesses where it does not know, and sometimes copies a neighbour. The teacher
counts, or presses one of three keys after a glance. None of the model's formulas is used here. Invented
children, no data of real ones.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

import numpy as np
import pytest

from benchmarks.knowledge import by_ear
from caller.clock import ClockTime
from caller.clock.ladder import STEP_CODES
from caller.record import Judgement, LessonKept, Offered, RoundKept, Tally
from caller.record.knowledge import FIRST_HALF_LIFE_DAYS, Knowledge, know

DAY = 24 * 3600.0
CHILDREN = 28
JUDGEMENTS: tuple[Judgement, ...] = ("few", "half", "most")
HALF_PAST, FIVES_TO = ClockTime(9, 30), ClockTime(4, 40)


@dataclass
class Child:
    knows: bool
    mixed_up: bool


@dataclass
class School:
    """A class and its teacher, from one seed."""

    seed: str
    learning: float = 0.0  # chance that a child who does not know learns in a lesson
    forgetting: float = 0.0  # chance that a child who knows has lost it a week later
    counts: bool = False
    knowing: float = 0.5
    mixing_up: float = 0.0
    chance: Random = field(init=False)
    children: list[Child] = field(init=False)

    def __post_init__(self) -> None:
        self.chance = Random(self.seed)
        self.children = [
            Child(self.chance.random() < self.knowing, self.chance.random() < self.mixing_up)
            for _ in range(CHILDREN)
        ]

    def share(self) -> float:
        return sum(child.knows for child in self.children) / CHILDREN

    def tally(self, *, tempting: bool) -> Tally:
        """Ask one clock of two choices; `tempting` where the wrong one is what the mix-up gives."""
        chose = []
        for child in self.children:
            if tempting and child.mixed_up:
                chose.append(False)
            else:
                chose.append(child.knows or self.chance.random() < 0.5)
        for place in range(CHILDREN):
            if self.chance.random() < 0.2:
                chose[place] = chose[place - 1]
        missed = chose.count(False)
        if self.counts:
            return Tally(missed=missed)
        seen = 1 - missed / CHILDREN + self.chance.gauss(0, 0.08)
        return Tally(judgement="few" if seen < 0.4 else "half" if seen < 0.7 else "most")

    def pass_a_week(self) -> None:
        for child in self.children:
            child.knows = child.knows and self.chance.random() >= self.forgetting

    def learn(self) -> None:
        for child in self.children:
            child.knows = child.knows or self.chance.random() < self.learning


def asked(number: int, at_s: float, time: ClockTime, wrong: ClockTime, tally: Tally, mixup: str) -> RoundKept:
    offered = Offered(time=wrong, mixups=frozenset({mixup} if mixup else ()))
    return RoundKept(
        number=number, part="round", at_s=at_s, question="read", step="half-past", time=time,
        wrong=(offered,), answer="left", tally=tally,
    )  # fmt: skip


def lesson(day: float, rounds: list[RoundKept], number: int = 1) -> LessonKept:
    return LessonKept(
        number=number, class_name="Terns", title="", began_s=day * DAY, ended_s=day * DAY + 900,
        ending="ended", planned_s=900.0, stand_in=False, present=CHILDREN, rounds=tuple(rounds),
    )  # fmt: skip


def lessons_of(school: School, weeks: int, *, rounds: int) -> list[LessonKept]:
    """Lead a lesson a week; children learn and forget between two of them."""
    held = []
    for week in range(weeks):
        if week:
            school.learn()
            school.pass_a_week()
        day = 7.0 * week
        kept = []
        for number in range(1, rounds + 1):
            tempting = school.chance.random() < 0.6
            tally = school.tally(tempting=tempting)
            wrong = ClockTime(10, 30) if tempting else ClockTime(2, 30)
            mixup = "hour-to-larger" if tempting else ""
            kept.append(asked(number, day * DAY + 60 * number, HALF_PAST, wrong, tally, mixup))
        held.append(lesson(day, kept, week + 1))
    return held


def led(school: School, weeks: int, *, rounds: int = 5) -> Knowledge:
    """Lead a lesson a week; the model is asked at its last tally, before what it teaches is reckoned with."""
    held = lessons_of(school, weeks, rounds=rounds)
    return know(held, held[-1].rounds[-1].at_s)


def told(
    day: float,
    tally: Tally,
    *,
    number: int = 1,
    clocks: int = 5,
    dial: ClockTime = HALF_PAST,
    mixup: str = "",
) -> LessonKept:
    """Return a lesson in which every clock was tallied alike."""
    wrong = ClockTime(dial.hour + 1, dial.minute)
    rounds = [asked(n, day * DAY + 60 * n, dial, wrong, tally, mixup) for n in range(1, clocks + 1)]
    return lesson(day, rounds, number)


def at_the_end(held: list[LessonKept], weeks_on: float = 0.0) -> Knowledge:
    return know(held, held[-1].rounds[-1].at_s + weeks_on * 7 * DAY)


def test_a_class_that_learns_ends_as_known() -> None:
    """Misses that fall from half to none over ten weekly lessons, two clocks each."""
    misses = (14, 14, 10, 6, 3, 2, 1, 0, 0, 0)
    held = [
        told(7.0 * week, Tally(missed=missed), number=week, clocks=2, mixup="hour-to-larger")
        for week, missed in enumerate(misses)
    ]
    step = at_the_end(held).steps["half-past"]
    assert step.mean > 0.8
    assert step.high > 0.95


@pytest.mark.parametrize("seed", range(8))
def test_simulated_learners_end_as_known(seed: int) -> None:
    school = School(f"learner/{seed}", learning=0.35, forgetting=0.03, counts=seed % 2 == 0, knowing=0.2)
    assert led(school, 12).steps["half-past"].mean > 0.8 - 2 * (1 - school.share())


def test_nine_intervals_in_ten_hold_the_truth() -> None:
    held = []
    for number in range(160):
        chance = Random(f"population/{number}")
        school = School(
            f"class/{number}",
            learning=chance.choice((0.0, 0.0, 0.1, 0.3)),
            forgetting=chance.choice((0.0, 0.05, 0.15)),
            counts=number % 2 == 0,
            knowing=chance.uniform(0.05, 1.0),
            mixing_up=chance.choice((0.0, 0.0, 0.1, 0.25)),
        )
        step = led(school, chance.randint(1, 8)).steps["half-past"]
        half_a_child = 0.5 / CHILDREN
        held.append(step.low - half_a_child <= school.share() <= step.high + half_a_child)
    assert 0.85 <= np.mean(held) <= 0.95


def test_nine_intervals_in_ten_hold_the_truth_of_classes_that_nothing_was_fitted_to() -> None:
    """Abilities, learning, forgetting and mix-ups drawn smoothly, and other numbers of clocks and lessons."""
    held = []
    for number in range(160):
        chance = Random(f"not tuned on/{number}")
        school = School(
            f"fresh/{number}",
            learning=chance.betavariate(1, 6),
            forgetting=chance.betavariate(1, 15),
            counts=chance.random() < 0.5,
            knowing=chance.betavariate(1.5, 1.2),
            mixing_up=chance.betavariate(1, 9),
        )
        step = led(school, chance.randint(1, 9), rounds=chance.randint(2, 7)).steps["half-past"]
        half_a_child = 0.5 / CHILDREN
        held.append(step.low - half_a_child <= school.share() <= step.high + half_a_child)
    assert 0.85 <= np.mean(held) <= 0.95


@pytest.mark.parametrize(
    "days",
    [
        0.1,
        pytest.param(7.0, marks=pytest.mark.nightly),
        pytest.param(60.0, marks=pytest.mark.nightly),
    ],
)
def test_nine_intervals_in_ten_hold_what_children_can_once_the_last_lesson_has_taught_them(
    days: float,
) -> None:
    """Nobody has been asked about what the last lesson has taught; then weeks pass and each child forgets."""
    held, widths = [], []
    for number in range(120):
        chance = Random(f"taught/{number}")
        school = School(
            f"taught/class/{number}",
            learning=chance.betavariate(1, 5),
            forgetting=chance.betavariate(1, 12),
            counts=chance.random() < 0.5,
            knowing=chance.betavariate(1.5, 1.2),
            mixing_up=chance.betavariate(1, 9),
        )
        kept = lessons_of(school, chance.randint(1, 8), rounds=chance.randint(2, 6))
        school.learn()
        for _ in range(int(days // 7)):
            school.pass_a_week()
        asked_s = kept[-1].rounds[-1].at_s
        before, after = (know(kept, asked_s + later * DAY).steps["half-past"] for later in (0.0, days))
        half_a_child = 0.5 / CHILDREN
        held.append(after.low - half_a_child <= school.share() <= after.high + half_a_child)
        widths.append((after.high - after.low) / (before.high - before.low))
    assert 0.85 <= np.mean(held) <= 0.95
    assert np.mean(widths) > 1.1


@pytest.mark.parametrize("seed", range(6))
def test_learners_of_other_speeds_end_as_known_too(seed: int) -> None:
    chance = Random(f"speed/{seed}")
    school = School(
        f"fresh learner/{seed}",
        learning=chance.uniform(0.25, 0.5),
        forgetting=0.02,
        counts=seed % 2 == 0,
        knowing=chance.uniform(0.05, 0.4),
    )
    assert led(school, 12).steps["half-past"].mean > 0.8


@pytest.mark.parametrize("first", [("few",) * 3, ("few",) * 12, ("half",) * 6])
@pytest.mark.parametrize("gap_days", [7, 30, 365])
def test_no_run_of_bad_lessons_counts_for_ever(first: tuple[Judgement, ...], gap_days: float) -> None:
    days = [7.0 * week for week in range(len(first))]
    days += [days[-1] + gap_days + 7 * week for week in range(8)]
    judged: list[Judgement] = [*first, *(JUDGEMENTS[2],) * 8]
    held = [
        told(day, Tally(judgement=each), number=number, mixup="hour-to-larger")
        for number, (day, each) in enumerate(zip(days, judged, strict=True))
    ]
    assert at_the_end(held).steps["half-past"].mean > 0.7


@pytest.mark.parametrize("wrong_day", [-200.0, -9_000.0, -20_000.0, 30_000.0])
@pytest.mark.parametrize("place", [0, 2, 4])
def test_one_absurd_date_changes_nothing(wrong_day: float, place: int) -> None:
    def of(days: list[float]) -> float:
        held = [told(day, Tally(judgement="most"), number=number) for number, day in enumerate(days)]
        return know(held, 29 * DAY).steps["half-past"].mean

    days = [0.0, 7.0, 14.0, 21.0, 28.0]
    assert of([*days[:place], wrong_day, *days[place + 1 :]]) == pytest.approx(of(days), abs=0.05)


@pytest.mark.parametrize("weeks_on", [0, 4, 52])
@pytest.mark.parametrize("judgement", JUDGEMENTS)
def test_a_step_never_taught_never_stands_above_one_that_was(weeks_on: float, judgement: Judgement) -> None:
    """Six lessons of one step only: it lifts no other step above itself, that day or a year on."""
    held = [
        told(7.0 * week, Tally(judgement=judgement), number=week, clocks=6, dial=FIVES_TO)
        for week in range(6)
    ]
    knowledge, before = at_the_end(held, weeks_on), know((), 0.0)
    taught = knowledge.steps["fives-to"].mean
    for code in STEP_CODES:
        assert knowledge.steps[code].mean <= max(taught, before.steps[code].mean) + 0.01, code
    harder = STEP_CODES[STEP_CODES.index("fives-to") + 1 :]
    assert all(knowledge.steps[code].mean <= taught for code in harder)


def test_lessons_on_six_days_running_do_not_last_as_six_weeks_do() -> None:
    def half_life(days_apart: float) -> float:
        held = [told(days_apart * number, Tally(missed=0), number=number) for number in range(6)]
        return at_the_end(held).half_life_days["half-past"]

    assert half_life(1) < 3 * FIRST_HALF_LIFE_DAYS
    assert half_life(7) > 1.5 * half_life(1)
    # Nobody who has been asked over five weeks is known to remember for a year.
    assert half_life(7) < 365 / 2
    # The longer the gap that was outlasted, the longer it lasts: spacing counts.
    lengths = [half_life(days) for days in (1, 3, 7, 14)]
    assert lengths == sorted(lengths)


def test_doubt_grows_with_time() -> None:
    held = [told(0.0, Tally(missed=3), clocks=8)]
    steps = [at_the_end(held, weeks).steps["half-past"] for weeks in (0, 2, 8, 52)]
    at_once, *later = [step.high - step.low for step in steps]
    assert at_once < 0.6 * min(later)


def test_counted_by_ear_a_class_is_known_better_than_untold_and_about_as_well_as_counted() -> None:
    """Children and claps as benchmarks/knowledge.py makes them; the same answers, told in three ways."""
    errors = [by_ear(seed) for seed in range(3)]
    untold, heard, counted = (
        float(np.sqrt(np.mean([each[how] for each in errors]))) for how in ("nobody", "by ear", "counted")
    )
    assert heard < 0.6 * untold
    assert heard < counted + 0.05
