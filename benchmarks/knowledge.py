"""How well the knowledge model recovers what simulated classes can read, and how it follows forgetting.

Run `python -m benchmarks.knowledge [--classes N]`. Every class is children who each know some steps and may
hold mix-ups; each child answers on its own, some by copying a neighbour, and a teacher presses one key after
most answers. Four readings of the same tallies are compared with the truth:

- the model of caller.record.knowledge;
- per cent correct: the mean share right on a step, taken as known; for a mix-up, the mean share wrong;
- the same corrected for guessing, 2 c - 1;
- a fixed ladder: one step more every other week, whatever the tallies say; every mix-up shown by a tenth.

Errors are root mean squares over steps (or mix-ups) that were offered, in percentage points, with 95 per cent
intervals from 2000 bootstrap resamples of classes; differences are paired.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random

import numpy as np
from numpy.typing import NDArray

from caller.clock.ladder import STEPS, Step, step_of, times_at
from caller.clock.mixups import MIXUPS, wrong_readings
from caller.hall.clap_share import CountHeard, TwoSides, counted
from caller.hall.claps import Clapped
from caller.record import Judgement, LessonKept, Offered, RoundKept, Tally
from caller.record.knowledge import DAY_S, FIRST_HALF_LIFE_DAYS, Knowledge, know, retained
from caller.record.observed import SHARES, right_share

FloatArray = NDArray[np.float64]

CHILDREN = 25
COPIES = 0.25  # of the children look at a neighbour first
TALLIED = 0.8
GLANCE_SD = 0.1  # wider than the model assumes
LESSONS, ROUNDS = 6, 8
SIMPLE_STEPS = STEPS[:7]
LADDER_MIXUP = 0.1
_OTHERS = ("per cent correct", "corrected", "fixed ladder")


@dataclass
class Child:
    knows: set[str]
    holds: set[str]


def a_class(chance: Random) -> list[Child]:
    """Return children whose ability is spread round the class's own place on the ladder."""
    place, spread = chance.uniform(0.5, 6.0), chance.uniform(0.5, 1.5)
    held = {each.name: chance.betavariate(1.0, 6.0) for each in MIXUPS}
    common = chance.choice(MIXUPS[:6]).name
    held[common] = chance.uniform(0.3, 0.6)
    children = []
    for _ in range(CHILDREN):
        ability = chance.gauss(place, spread)
        knows = {step.code for number, step in enumerate(SIMPLE_STEPS) if ability > number}
        children.append(Child(knows, {name for name, share in held.items() if chance.random() < share}))
    return children


def answers(children: Sequence[Child], skill: str, wrong: Sequence[Offered], chance: Random) -> float:
    """Return the share that answers rightly."""
    right = []
    for child in children:
        if any(child.holds & each.mixups for each in wrong):
            right.append(False)
        elif child.knows & {skill}:
            right.append(True)
        else:
            right.append(chance.random() < 1 / (1 + len(wrong)))
    copied = [chance.choice(right) if chance.random() < COPIES else each for each in right]
    return sum(copied) / len(copied)


def told(share: float, chance: Random) -> Tally | None:
    if chance.random() > TALLIED:
        return None
    if chance.random() < 0.2:  # a teacher who counts
        return Tally(missed=round(CHILDREN * (1 - share)))
    seen = share + chance.gauss(0, GLANCE_SD)
    names: tuple[Judgement, ...] = ("few", "half", "most")
    return Tally(judgement=next((name for name in names if seen < SHARES[name][1]), "most"))


def lessons_of(
    chance: Random,
    answer: Callable[[float, str, tuple[Offered, ...]], float],
    days: Sequence[float],
    steps: Sequence[Step],
) -> list[LessonKept]:
    """Return a class's lessons on these days, each on a step and the ones below it."""
    lessons = []
    for number, day in enumerate(days, start=1):
        rounds: list[RoundKept] = []
        while len(rounds) < ROUNDS:
            step = chance.choice(steps)
            time = chance.choice([each for each in times_at(step) if step_of(each) is step])
            explained = sorted(
                (wrong, names) for wrong, names in wrong_readings(time, ("analogue", "digital")).items()
            )
            if not explained:
                continue
            wrong, names = chance.choice(explained)
            offered = (Offered(time=wrong, mixups=names),)
            share = answer(day, step.code, offered)
            rounds.append(
                RoundKept(
                    number=len(rounds) + 1,
                    part="round",
                    at_s=day * DAY_S + 60.0 * len(rounds),
                    question="read",
                    step=step.code,
                    time=time,
                    wrong=offered,
                    tally=told(share, chance),
                )
            )
        lessons.append(
            LessonKept(
                number=number,
                class_name="Terns",
                title="",
                began_s=day * DAY_S,
                ended_s=day * DAY_S + 1200,
                ending="ended",
                planned_s=1200.0,
                stand_in=False,
                present=CHILDREN,
                rounds=tuple(rounds),
            )
        )
    return lessons


def midpoints(lessons: Sequence[LessonKept]) -> list[tuple[RoundKept, float]]:
    tallied = [(kept, kept.tally) for lesson in lessons for kept in lesson.rounds]
    return [(kept, sum(right_share(tally, CHILDREN)) / 2) for kept, tally in tallied if tally is not None]


@dataclass
class Errors:
    """Mean square errors of one class, by method, and how often the truth lay in the interval."""

    steps: dict[str, float]
    mixups: dict[str, float]
    covered: list[bool]


def recovery(seed: int) -> Errors | None:
    chance = Random(f"recovery/{seed}")
    children = a_class(chance)
    top = chance.randint(2, 6)
    steps = SIMPLE_STEPS[max(0, top - 2) : top + 1]
    days = [7.0 * week / 2 for week in range(LESSONS)]
    lessons = lessons_of(chance, lambda _, skill, wrong: answers(children, skill, wrong, chance), days, steps)
    knowledge = know(lessons, days[-1] * DAY_S + 1200)
    seen = midpoints(lessons)
    true_steps = {step.code: sum(step.code in child.knows for child in children) / CHILDREN for step in steps}
    true_mixups = {
        name: sum(name in child.holds for child in children) / CHILDREN for name in knowledge.mixups
    }
    correct: dict[str, float] = {}
    for code in true_steps:
        shares = [share for kept, share in seen if step_of(kept.time).code == code]
        if shares:
            correct[code] = float(np.mean(shares))
    wrong: dict[str, float] = {}
    for name in true_mixups:
        wrong[name] = float(np.mean([1 - share for kept, share in seen if name in kept.wrong[0].mixups]))
    climbed = round(days[-1] / 14)
    ladder = {
        code: 1.0 if place <= climbed else 0.5 if place == climbed + 1 else 0.0
        for place, code in enumerate(true_steps)
    }
    if not correct:
        return None
    return Errors(
        steps={
            "model": _error({code: knowledge.steps[code].mean for code in correct}, true_steps),
            "per cent correct": _error(correct, true_steps),
            "corrected": _error({code: max(2 * share - 1, 0) for code, share in correct.items()}, true_steps),
            "fixed ladder": _error({code: ladder[code] for code in correct}, true_steps),
        },
        mixups={
            "model": _error({name: knowledge.mixups[name].mean for name in wrong}, true_mixups),
            "per cent correct": _error(wrong, true_mixups),
            "corrected": _error({name: max(2 * share - 1, 0) for name, share in wrong.items()}, true_mixups),
            "fixed ladder": _error(dict.fromkeys(wrong, LADDER_MIXUP), true_mixups),
        },
        covered=_covered(knowledge, {code: true_steps[code] for code in correct}, true_mixups),
    )


def by_ear(seed: int) -> dict[str, float]:
    """Return the mean square errors of a class's steps by how its rounds were told.

    Nobody tells anything; all are counted by their claps; all are counted by a teacher. The answers are the
    same. Claps are as unequal as in the middle of benchmarks/claps.py: single claps spread by 4 dB, some
    more between children than within each, and one child in twenty does not clap.
    """
    chance = Random(f"by ear/{seed}")
    children = a_class(chance)
    top = chance.randint(2, 6)
    steps = SIMPLE_STEPS[max(0, top - 2) : top + 1]
    days = [7.0 * week / 2 for week in range(LESSONS)]
    shares: dict[tuple[float, int], float] = {}

    def answer(day: float, skill: str, wrong: tuple[Offered, ...]) -> float:
        share = answers(children, skill, wrong, chance)
        shares[day, sum(at == day for at, _ in shares)] = share
        return share

    plain = lessons_of(chance, answer, days, steps)
    claps = np.random.default_rng([seed, 1])
    loud = 10 ** (claps.normal(0.0, 4.0 * 0.6**0.5, CHILDREN) / 10)
    true_steps = {step.code: sum(step.code in child.knows for child in children) / CHILDREN for step in steps}
    errors = {}
    for how in ("nobody", "by ear", "counted"):
        told = []
        for day, lesson in zip(days, plain, strict=True):
            earlier: list[TwoSides] = []
            whole = _clapped(loud, claps)
            rounds = []
            for number, kept in enumerate(lesson.rounds):
                right = round(shares[day, number] * CHILDREN)
                tally = Tally(missed=CHILDREN - right) if how == "counted" else None
                heard = _heard(whole, earlier, loud, right, claps) if how == "by ear" else None
                rounds.append(replace(kept, tally=tally, heard=heard))
            told.append(replace(lesson, rounds=tuple(rounds)))
        knowledge = know(told, days[-1] * DAY_S + 1200)
        led = {step_of(kept.time).code for lesson in told for kept in lesson.rounds}
        asked = sorted(led & set(true_steps))
        errors[how] = _error({code: knowledge.steps[code].mean for code in asked}, true_steps)
    return errors


def _clapped(loud: FloatArray, claps: np.random.Generator) -> Clapped:
    """Return what these children clap."""
    single = loud[:, None] * 10 ** (claps.normal(0.0, 4.0 * 0.4**0.5, (len(loud), 3)) / 10)
    single = single * (claps.random((len(loud), 1)) > 0.05)
    each = single.sum(axis=0)
    return Clapped(claps=tuple(each.tolist()), energy=float(each.sum()), doubt=0.05, colour_db=3.0)


def _heard(
    whole: Clapped, earlier: list[TwoSides], loud: FloatArray, right: int, claps: np.random.Generator
) -> tuple[float, ...] | None:
    order = claps.permutation(len(loud))
    earlier.append(
        TwoSides(side=_clapped(loud[order[:right]], claps), others=_clapped(loud[order[right:]], claps))
    )
    found = counted(whole, earlier, len(loud))
    return found.chances if isinstance(found, CountHeard) else None


def _covered(knowledge: Knowledge, steps: dict[str, float], mixups: dict[str, float]) -> list[bool]:
    """Tell of every share whether its interval holds it, to half a child: a class has no other shares."""
    estimates = {**knowledge.steps, **knowledge.mixups}
    half = 0.5 / CHILDREN
    return [
        estimates[name].low - half <= true <= estimates[name].high + half
        for name, true in {**steps, **mixups}.items()
    ]


def _error(got: Mapping[str, float], true: Mapping[str, float]) -> float:
    return sum((got[name] - true[name]) ** 2 for name in got) / len(got)


def forgetting(seed: int, gaps: Sequence[float]) -> list[tuple[float, float, float]]:
    """Return (gap in days, true share left, model's share) for a class that forgets by the cited curve.

    Each child forgets by the curve with the model's own first half-life; nothing else happens after two
    lessons in which all that is known is shown.
    """
    chance = Random(f"forgetting/{seed}")
    share = chance.uniform(0.6, 0.95)
    step = SIMPLE_STEPS[2]
    lessons = lessons_of(chance, lambda _, __, ___: share + (1 - share) / 2, [0.0, 0.2], [step])
    half_life = know(lessons, lessons[-1].rounds[-1].at_s).half_life_days[step.code]
    found = []
    for gap in gaps:
        true = np.mean([chance.random() < share * float(retained(gap, half_life)) for _ in range(400)])
        found.append(
            (gap, float(true), know(lessons, lessons[-1].rounds[-1].at_s + gap * DAY_S).steps[step.code].mean)
        )
    return found


def interval(values: FloatArray, random: np.random.Generator) -> tuple[float, float, float]:
    """Return the root of the mean and its 95 per cent bootstrap interval."""
    picks = random.integers(0, len(values), (2000, len(values)))
    roots = np.sqrt(values[picks].mean(axis=1))
    low, high = np.percentile(roots, [2.5, 97.5])
    return float(np.sqrt(values.mean())), float(low), float(high)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--classes", type=int, default=300)
    classes = parser.parse_args().classes
    random = np.random.default_rng(1)
    errors = [each for seed in range(classes) if (each := recovery(seed)) is not None]
    for what in ("steps", "mixups"):
        print(f"\n{what}: error in percentage points, {len(errors)} classes")
        table = {
            name: np.array([getattr(each, what)[name] for each in errors]) for name in ("model", *_OTHERS)
        }
        for name, values in table.items():
            root, low, high = interval(values, random)
            print(f"  {name:18} {100 * root:5.1f}  [{100 * low:.1f}, {100 * high:.1f}]")
        for name in _OTHERS:
            picks = random.integers(0, len(errors), (2000, len(errors)))
            gains = np.sqrt(table[name][picks].mean(axis=1)) - np.sqrt(table["model"][picks].mean(axis=1))
            low, high = np.percentile(gains, [2.5, 97.5])
            print(f"  better than {name}: by {100 * gains.mean():.1f}  [{100 * low:.1f}, {100 * high:.1f}]")
    heard = [by_ear(seed) for seed in range(min(classes, 100))]
    print(f"\nsteps, by how the same rounds were told: error in percentage points, {len(heard)} classes")
    for how in heard[0]:
        root, low, high = interval(np.array([each[how] for each in heard]), random)
        print(f"  {how:18} {100 * root:5.1f}  [{100 * low:.1f}, {100 * high:.1f}]")
    covered = [inside for each in errors for inside in each.covered]
    print(f"\nthe truth lies in the 90 % interval in {np.mean(covered):.1%} of {len(covered)} cases")
    gaps = (0, 1, 3, 7, 14, 21, 42, 84)
    found = [forgetting(seed, gaps) for seed in range(min(classes, 200))]
    print("\nforgetting by 2^(-days / half-life), Settles & Meeder 2016: what is left of the share on day 0")
    print("              curve  children  model")
    start = [np.mean([run[0][which] for run in found]) for which in (1, 2)]
    for place, gap in enumerate(gaps):
        left = [np.mean([run[place][which] for run in found]) / start[which - 1] for which in (1, 2)]
        print(
            f"  {gap:3} days    {retained(gap, FIRST_HALF_LIFE_DAYS):6.1%}   {left[0]:6.1%}  {left[1]:6.1%}"
        )


if __name__ == "__main__":
    main()
