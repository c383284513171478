"""What the record says in three sentences, as a table, and as plain data."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any, Final

from caller.clock.ladder import STEPS, Step, step
from caller.clock.mixups import MIXUPS
from caller.hall.clap_share import CountHeard
from caller.languages import MODEL, language, words
from caller.record import LessonKept, RoundKept
from caller.record.knowledge import KNOWN_WELL, Estimate, Knowledge

_FORMULA_BEGINS = ("=", "+", "-", "@", "\t", "\r")  # as OWASP's page on CSV injection lists them
COLUMNS: Final = (
    "lesson", "began", "title", "ending", "stand_in", "round", "part", "question", "step", "time",
    "wrong", "mixups", "answer", "judgement", "missed", "heard", "present",
)  # fmt: skip

_HEARD: Final = (
    (0.1, "hardly anybody"),
    (0.4, "few"),
    (0.6, "about half"),
    (0.85, "most"),
    (1.01, "nearly all"),
)
_TOLD_PER_CENT: Final = 60  # wider than this, no word would be true

_TITLES: Final = {each.name: each.title for each in MIXUPS}


def mixup_title(name: str) -> str:
    """Return a mix-up's title for teachers; one that belongs to no dial by its own name."""
    return _TITLES.get(name, name.replace("-", " "))


def sentences(class_name: str, lessons: Sequence[LessonKept], knowledge: Knowledge) -> tuple[str, str, str]:
    """Return what a class can read, what it mixes up, and what has been longest ago."""
    return (
        _reads(class_name, lessons, knowledge),
        _mixes_up(knowledge),
        _comes_back(knowledge),
    )


def in_per_cent(estimate: Estimate) -> str:
    """Return a share with what it lies between: "about 70 % (50 to 85)"."""
    mean, low, high = (round(100 * share) for share in (estimate.mean, estimate.low, estimate.high))
    return f"about {mean} % ({low} to {high})"


def next_step(knowledge: Knowledge, now_at: str) -> str:
    """Return the step a class is ready for: the one above each that is known well, from `now_at` on."""
    codes = [each.code for each in STEPS]
    place = codes.index(now_at)
    while place + 1 < len(codes) and _known_well(knowledge, codes[place]):
        place += 1
    return codes[place]


def as_dict(class_name: str, lessons: Sequence[LessonKept], knowledge: Knowledge) -> dict[str, Any]:
    """Return the record and what follows from it as dictionaries, lists, words and numbers."""
    return {
        "class": class_name,
        "says": list(sentences(class_name, lessons, knowledge)),
        "steps": {
            code: _estimate(estimate)
            | {
                "days_ago": knowledge.steps_days.get(code),
                "half_life_days": knowledge.half_life_days.get(code),
            }
            for code, estimate in knowledge.steps.items()
        },
        "mixups": {
            name: _estimate(estimate) | {"days_ago": knowledge.mixups_days.get(name)}
            for name, estimate in knowledge.mixups.items()
        },
        "lessons": [_lesson(lesson) for lesson in lessons],
    }


def as_csv(lessons: Iterable[LessonKept]) -> str:
    """Return one line for each round, under `COLUMNS`; times are local."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for lesson in lessons:
        for kept in lesson.rounds:
            writer.writerow(
                (
                    lesson.number,
                    _local(lesson.began_s),
                    _cell(lesson.title),
                    _cell(lesson.ending),
                    int(lesson.stand_in),
                    *(_cell(value) for value in _round(kept).values()),
                    lesson.present,
                )
            )
    return text.getvalue()


def _cell(value: object) -> object:
    """Return a value that no spreadsheet takes for a formula: an apostrophe stands before what it could."""
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA_BEGINS) else value


def what_happened(lesson: LessonKept, code: str = MODEL) -> tuple[str, ...]:
    """Return a lesson in a few short lines of a language, for the teacher who comes back."""
    say, numeral = words(code, "screen").say, language(code).numeral
    joined = f" {say('after.and')} ".join
    rounds = [kept for kept in lesson.rounds if kept.part != "reteach"]
    lines = [say("after.answered", n=len(rounds))]
    told = [kept for kept in rounds if kept.tally is not None]
    if told:
        lines.append(say("after.tallied", n=len(told)))
    hard = [numeral(kept.time) for kept in told if kept.tally is not None and kept.tally.judgement == "few"]
    if hard:
        lines.append(say("after.few", times=joined(hard)))
    again = [numeral(kept.time) for kept in lesson.rounds if kept.part == "reteach"]
    if again:
        lines.append(say("after.again", times=joined(again)))
    return tuple(lines)


def _reads(class_name: str, lessons: Sequence[LessonKept], knowledge: Knowledge) -> str:
    who = f"The {class_name}" if class_name else "This class"
    lessons = [
        lesson for lesson in lessons if lesson.rounds
    ]  # a start that came to no clock is no lesson had
    if not knowledge.half_life_days:
        return (
            f"{who} had {_count(len(lessons), 'lesson')}, none of them tallied: "
            "press m, a or n after an answer to say that most, about half or few had it."
        )
    well = [
        each for each in STEPS if each.code in knowledge.half_life_days and _known_well(knowledge, each.code)
    ]
    if not well:
        code = max(knowledge.half_life_days, key=lambda each: knowledge.steps[each].mean)
        return (
            f"{who} had {_count(len(lessons), 'lesson')} and do not read any step well yet; "
            f"the best is {_named(step(code))}, known by {in_per_cent(knowledge.steps[code])}."
        )
    top = well[-1]
    return (
        f"{who} had {_count(len(lessons), 'lesson')} and read well up to {_named(top)}, "
        f"known by {in_per_cent(knowledge.steps[top.code])}."
    )


def _mixes_up(knowledge: Knowledge) -> str:
    if not knowledge.mixups:
        return "No mix-up has been tallied yet."
    name, estimate = max(knowledge.mixups.items(), key=lambda each: each[1].mean)
    return (
        f"What they mix up most: {mixup_title(name)}, shown by {in_per_cent(estimate)}, "
        f"last offered {_ago(knowledge.mixups_days[name])}."
    )


def _comes_back(knowledge: Knowledge) -> str:
    if not knowledge.half_life_days:
        return "What comes back next follows from the class file alone until then."
    code = min(knowledge.half_life_days, key=lambda each: knowledge.steps[each].mean)
    return (
        f"What should come back next: {_named(step(code))}, last tallied {_ago(knowledge.steps_days[code])} "
        f"and known by {in_per_cent(knowledge.steps[code])} today."
    )


def _named(each: Step) -> str:
    """Return a step's name as it stands inside a sentence."""
    return each.name[0].lower() + each.name[1:]


def _known_well(knowledge: Knowledge, code: str) -> bool:
    return code in knowledge.half_life_days and knowledge.steps[code].mean >= KNOWN_WELL


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _ago(days: float) -> str:
    whole = round(days)
    return "today" if whole == 0 else "yesterday" if whole == 1 else f"{whole} days ago"


def _estimate(estimate: Estimate) -> dict[str, Any]:
    return {name: round(getattr(estimate, name), 4) for name in ("mean", "low", "high")}


def _lesson(lesson: LessonKept) -> dict[str, Any]:
    return {
        "lesson": lesson.number,
        "began": _local(lesson.began_s),
        "title": lesson.title,
        "ending": lesson.ending,
        "stand_in": lesson.stand_in,
        "minutes": None if lesson.ended_s is None else round((lesson.ended_s - lesson.began_s) / 60, 1),
        "rounds": [_round(kept) for kept in lesson.rounds],
    }


def _round(kept: RoundKept) -> dict[str, Any]:
    return {
        "round": kept.number,
        "part": kept.part,
        "question": kept.question,
        "step": kept.step,
        "time": str(kept.time),
        "wrong": " ".join(str(each.time) for each in kept.wrong),
        "mixups": "; ".join("+".join(sorted(each.mixups)) for each in kept.wrong),
        "answer": kept.answer,
        "judgement": kept.tally.judgement if kept.tally else None,
        "missed": kept.tally.missed if kept.tally else None,
        "heard": in_words(kept.heard) if kept.heard else None,
    }


def in_words(chances: Sequence[float]) -> str:
    """Return what was counted by ear as a teacher would say it: "about half (30 to 60 %)"."""
    count = CountHeard(chances=tuple(chances))
    low, high = (round(100 * share) for share in count.interval)
    words = next((words for up_to, words in _HEARD if count.mean < up_to), _HEARD[-1][1])
    return f"{words if high - low <= _TOLD_PER_CENT else 'not sure'} ({low} to {high} %)"


def _local(seconds: float) -> str:
    return datetime.fromtimestamp(seconds).astimezone().isoformat(timespec="minutes")
