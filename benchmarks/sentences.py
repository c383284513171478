"""Every sentence that can be spoken, by language, counted and written to files to be read by a person.

What the ready lessons say with all that may be added to them, every question, answer and reason of every
clock, and every move in every call: `python -m benchmarks.sentences --to FOLDER [CODE...]` writes one file a
language, the longest first, each with its words and how often it came. A word is what stands between spaces;
a word with a hyphen is one. A sentence ends at . ? ! or … .
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

from caller.clock import ALL_TIMES, DayTime
from caller.clock.beyond_dial import WRONG_WAY, wrong_day_times, wrong_durations, wrong_ends
from caller.clock.fair import DURATIONS
from caller.clock.ladder import STEPS, step
from caller.clock.mixups import wrong_readings
from caller.deciding import DecidedRound
from caller.hall.adapt import DEFAULT_DELIVERY
from caller.languages import CODES, Register, language
from caller.languages.phrases import MoveWords, Phrases, Speaking, phrases
from caller.languages.reasons import reason, why_wrong
from caller.lesson.library import read_lesson, ready_lessons
from caller.moves import catalogue
from caller.planning.staging import Stage
from caller.questions.kind import Question, ShownTime, WrongChoice
from caller.runsheet import Line, RunSheet
from caller.runsheet.reckoning import question_asked
from caller.runsheet.sayings import Saying, say
from caller.runsheet.talk import Talk

LONGEST = 12
REGISTERS: tuple[Register, ...] = ("digital", "analogue")
_END = re.compile(r"(?<=[.?!…]) +")
_SPARSE = 7  # of the many lengths and starts each so-manieth is asked


def sentences(text: str) -> list[str]:
    """Return the sentences of a text."""
    return [each for each in _END.split(text.strip()) if each]


def words(sentence: str) -> int:
    """Return how many words a sentence has; a mark that stands alone is none."""
    return sum(any(letter.isalnum() for letter in word) for word in sentence.split())


@cache
def run_sheets(code: str) -> tuple[RunSheet, ...]:
    """Return what each ready lesson says in a language, with all that may be added to it."""
    sheets: list[RunSheet] = []
    for path in ready_lessons().values():
        written = read_lesson(path)
        lesson = replace(
            written,
            language=code,
            second_language=None,
            title="",
            class_name="",
            opening=replace(written.opening, welcome="", lead_in=""),
            close=replace(written.close, say=""),
            rounds=tuple(replace(each, say="", reason="") for each in written.rounds),
        )
        to_lead = Stage().to_lead(lesson)
        sheets += [to_lead.before, to_lead.lesson, to_lead.again]
    return tuple(sheets)


@cache
def said_in_lessons(code: str) -> Counter[str]:
    """Return each sentence of the ready lessons in a language, with how often they say it."""
    return _counted(line.written for sheet in run_sheets(code) for call in sheet.calls for line in call.lines)


def _counted(texts: Iterable[str]) -> Counter[str]:
    return Counter(sentence for text in texts for sentence in sentences(text))


def reckoned(code: str, *, sparse: int = 1) -> Counter[str]:
    """Return what the questions of every kind say of the clocks of the dial and the day, all slips told.

    Parameters
    ----------
    sparse
        Only each so-manieth question is asked.
    """
    lines: list[Line] = []
    march = MoveWords("march", "call")
    for register in REGISTERS:
        for question in list(_questions())[::sparse]:
            about = DecidedRound(
                part="round",
                number=1,
                total=1,
                question=question,
                side="left",
                moves=(),
                decide_s=3,
                bout_s=10,
                catch_up=None,
                full=True,
            )
            asked = question_asked(about)
            labels = [choice.label for choice in asked.choices if choice.label is not None]
            choices = [say("choice.left", time=label, call=march) for label in labels]
            lines += _talk(code, register).lines((*asked.question, *asked.answer, *asked.reason, *choices))
    return _counted(line.written for line in lines)


def _talk(code: str, register: Register) -> Talk:
    return Talk(
        first=phrases(code),
        speaking=Speaking(step=step("quarters"), registers=(register, register)),
        delivery=DEFAULT_DELIVERY,
    )


def _questions() -> Iterator[Question]:
    """Yield a question of every kind on every clock it can be asked of, with all documented slips beside."""
    for time in ALL_TIMES[::5]:
        yield from (
            Question(kind=kind, time=time, claim=time) for kind in ("find", "is-it-so", "be-the-clock")
        )
    for half, time in product((0, 720), ALL_TIMES[::5]):
        day = DayTime.from_minutes(time.minutes + half)
        for code in ("day-part", "half-of-day"):
            yield _with_slips(Question(kind=code, time=day))
    for start, minutes in list(product(ALL_TIMES[::5], DURATIONS))[::_SPARSE]:
        for code, change in (("later", minutes), ("earlier", -minutes), ("how-long", minutes)):
            end = start.plus(change)
            yield _with_slips(Question(kind=code, time=end, start=start, change_minutes=change))


def _with_slips(question: Question) -> Question:
    start, change, time = question.start, question.change_minutes, question.time
    slips: dict[ShownTime, frozenset[str]] = {}
    if isinstance(time, DayTime):
        slips = dict(wrong_day_times(time).items())
        if question.kind == "half-of-day":
            slips = {time.plus(720): slips[time.plus(720)]}
    elif start is not None and question.kind == "how-long":
        told = wrong_durations(start, time).items()
        slips = {start.plus(each): names - {WRONG_WAY} for each, names in told if names != {WRONG_WAY}}
    elif start is not None:
        slips = dict(wrong_ends(start, change).items())
    wrong = tuple(WrongChoice(time=each, mixups=names) for each, names in slips.items())
    return replace(question, wrong=wrong)


def read_off_the_dial(code: str) -> Counter[str]:
    """Return every reason of every clock at every step, and every way to a wrong reading."""
    speaker = language(code)
    texts: list[str] = []
    for register, time in product(REGISTERS, ALL_TIMES):
        for each in STEPS:
            clauses = reason(time, step=each, language=speaker, register=register)
            texts += (clause.written for clause in clauses)
        wrong = {*wrong_readings(time, (speaker.manner(register),)), time.plus(60), time.plus(-60)}
        texts += (
            why_wrong(each, time, language=speaker, registers=(register,)).written for each in sorted(wrong)
        )
    return _counted(texts)


def called(code: str) -> Counter[str]:
    """Return every move in every sentence that calls it, and every sentence that never changes."""
    words_of = phrases(code)
    whole = (key for key, each in words_of.sentences.items() if "{" not in each and each[-1:] in ".?!…")
    texts = [words_of.say(key).written for key in whole]
    sayings: list[Saying] = []
    for move, key in product(catalogue().values(), _calling(words_of)):
        if key == "catch-up.hold" and not move.hold:
            continue  # nobody is told to hold what moves
        name = MoveWords(move.slug)
        if key == "catch-up.calm-bout" or key.startswith("warm-up.next"):
            name = MoveWords(move.slug, "call")
        elif key.startswith(("warm-up.", "catch-up.hold", "be-the-clock.", "find.choice")):
            name = MoveWords(move.slug, "begun name")
        sayings.append(say(key, call=name, move=name))
    texts += (line.written for line in _talk(code, "analogue").lines(sayings))
    return _counted(texts)


def _calling(words_of: Phrases) -> list[str]:
    slots = {key: set(re.findall(r"{(\w+)}", each)) for key, each in words_of.sentences.items()}
    return [key for key, names in slots.items() if (names and names <= {"call"}) or names == {"move"}]


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.sentences", description=__doc__)
    parser.add_argument("codes", nargs="*", metavar="CODE", help=f"some of {', '.join(CODES)}")
    parser.add_argument("--to", type=Path, required=True, metavar="FOLDER")
    arguments = parser.parse_args()
    arguments.to.mkdir(parents=True, exist_ok=True)
    print("| language | different sentences | words in the longest | mean words |\n|---|---|---|---|")
    for code in arguments.codes or CODES:
        found = said_in_lessons(code) + reckoned(code) + read_off_the_dial(code) + called(code)
        by_length = sorted(found.items(), key=lambda each: (-words(each[0]), each[0]))
        lines = (f"{words(sentence):2} {times:6} {sentence}\n" for sentence, times in by_length)
        (arguments.to / f"{code}.txt").write_text("".join(lines), encoding="utf-8")
        lengths = [words(sentence) for sentence in found]
        print(f"| {code} | {len(found)} | {max(lengths)} | {sum(lengths) / len(lengths):.1f} |", flush=True)


if __name__ == "__main__":
    main()
