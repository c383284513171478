"""How many of a thousand random classes get a lesson of at least half movement at a brisk pace, and why not.

    python -m benchmarks.plans [--classes N] [--from N]

The classes differ in age, step, period, hall, floor, shoes, moves they avoid, reading and languages. Nothing
is spoken: lines are as long as they are reckoned to be. The goals: half of the time is movement, the median
clock takes 75 s with 33 s of standing in it, nobody stands over 25 s at a stretch, and 20 minutes have 11
clocks.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from random import Random

import numpy as np

from caller.clock.ladder import STEP_CODES
from caller.errors import UserError
from caller.hall.hallfile import preset_names
from caller.languages.folders import CODES
from caller.moves import catalogue
from caller.moves.dose import GUIDELINE_SHARE
from caller.planning.classfile import SchoolClass
from caller.planning.lengths import SpokenLengths
from caller.planning.plan import Plan, plan_lesson
from caller.planning.staging import stage_of
from caller.sound import SAMPLE_RATE
from caller.sound.speech import Speech, VoiceSettings, estimate_s
from caller.sound.tones import load_tones

_FLOORS_M = (1.2, 1.4, 1.6, 1.8, 2.0, 2.5, 3.0)
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_SENTENCE = re.compile(r"[A-Z0-9].*?\.(?= |$)")
_COUNTRIES = {"es": ("es", "es-US")}
_LANGUAGES = tuple(code for code in CODES if code != "es-US")
_CHAIRS_M = (1.8, 2.0)  # between chairs that are closer no two seated moves may be left


class ReckonedVoice:
    """Silence as long as a line is reckoned to take."""

    def clip(self, text: str, settings: VoiceSettings) -> Speech:
        count = round(estimate_s(text, settings.rate_wpm) * SAMPLE_RATE)
        return Speech(samples=np.broadcast_to(np.float32(0.0), (count,)), missing=False)

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        """Speak nothing."""


def drawn(number: int) -> tuple[SchoolClass, int]:
    """Return the random class of this number, and a seed for its lesson."""
    chance = Random(f"class {number}")
    youngest = chance.randint(5, 10)
    seated = chance.random() < 0.08
    # The country is drawn by itself: so each number keeps its class when a language gets another one.
    language, second = chance.choice(_LANGUAGES), chance.choice((None, None, None, None, "es", "en-GB"))
    language = Random(f"country {number}").choice(_COUNTRIES.get(language, (language,)))
    return SchoolClass(
        name=chance.choice(("Terns", "Puffins", "Gannets", "Skuas")),
        age=(youngest, youngest + chance.randint(0, 2)),
        step=chance.choice(STEP_CODES),
        minutes=chance.randint(10, 45),
        hall=chance.choice(("", "", "", *preset_names())),
        space_m=chance.choice(_CHAIRS_M if seated else _FLOORS_M),
        shod=chance.random() < 0.7,
        language=language,
        second_language=None if second is None or second[:2] == language[:2] else second,
        reading=chance.choice(("none", "early", "fluent")),
        avoid=tuple(chance.sample(sorted(catalogue()), chance.choice((0, 0, 0, 2, 5)))),
        seated_places=chance.choice((0, 0, 0, 2)),
        seated=seated,
    ), chance.randrange(10**6)


def planned(numbers: Iterable[int], lengths: SpokenLengths) -> Iterator[tuple[SchoolClass, Plan | UserError]]:
    """Yield each class with its lesson, or with what says why there is none."""
    stages = {name: stage_of(name, Path()) for name in ("", *preset_names())}
    for number in numbers:
        school_class, seed = drawn(number)
        try:
            yield (
                school_class,
                plan_lesson(school_class, stage=stages[school_class.hall], lengths=lengths, seed=seed),
            )
        except UserError as error:
            yield school_class, error


def main() -> None:
    """Plan for each class, and count what is kept and what is said."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--classes", type=int, default=1000)
    parser.add_argument("--from", type=int, default=0, dest="first")
    chosen = parser.parse_args()
    kept, silent, shares = 0, 0, list[float]()
    why, missed = Counter[str](), Counter[str]()
    lengths = SpokenLengths(ReckonedVoice(), load_tones())
    for school_class, plan in planned(range(chosen.first, chosen.first + chosen.classes), lengths):
        if isinstance(plan, UserError):
            why[str(plan)] += 1
            continue
        if not school_class.seated:
            shares.append(plan.dose.mvpa_share)
        half = plan.dose.mvpa_share >= GUIDELINE_SHARE
        goals, _, slow = plan.slow.partition("). ")
        said = {_NUMBER.sub("N", each) for each in _SENTENCE.findall(f"{slow} {plan.still}")}
        why.update(said)
        missed.update([] if half else ["half of the time"])
        missed.update(_NUMBER.sub("N", each.strip()) for each in goals.split(",") if each)
        kept += half and not goals
        silent += not said and not (half and not goals)
    print(f"{chosen.classes} classes: {kept} keep all, {silent} miss something and do not say why")
    if shares:
        print(f"share of movement, standing classes: {min(shares):.2f} to {max(shares):.2f}")
    for title, counted in (("missed", missed), ("said", why)):
        print(f"{title}:")
        for what, count in counted.most_common():
            print(f"  {count:5} {what}")


if __name__ == "__main__":
    main()
