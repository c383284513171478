"""Every sentence that the ready lessons say, by language: `python -m tests.languages.test_said CODE`.

A word is what stands between spaces; a word with a hyphen is one. A sentence ends at . ? ! or …
"""

from __future__ import annotations

import itertools
import re
import sys
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from caller.languages import CODES
from caller.lesson.library import ready_lessons
from caller.lesson.reading import read_lesson
from caller.runsheet.model import RunSheet
from caller.runsheet.prelude import prelude
from caller.runsheet.reteach import teaching_again
from caller.runsheet.sequence import make_run_sheet

LONGEST = 12
_END = re.compile(r"(?<=[.?!…]) +")


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
        sheet = make_run_sheet(lesson)
        sheets += [prelude(lesson), sheet, teaching_again(lesson, sheet)]
    return tuple(sheets)


def sentences(text: str) -> list[str]:
    """Return the sentences of a text."""
    return [each for each in _END.split(text.strip()) if each]


def words(sentence: str) -> int:
    """Return how many words a sentence has; a mark that stands alone is none."""
    return sum(any(letter.isalnum() for letter in word) for word in sentence.split())


@cache
def said(code: str) -> Counter[str]:
    """Return each sentence said in a language, with how often the ready lessons say it."""
    return Counter(
        sentence
        for sheet in run_sheets(code)
        for call in sheet.calls
        for line in call.lines
        for sentence in sentences(line.written)
    )


@pytest.mark.parametrize("code", CODES)
def test_what_is_said_is_short_whole_and_ended(code: str) -> None:
    # At most twelve words: 5- to 6-year-olds carry out two or three short actions of what they hear
    # (Gathercole et al. 2008, Appl Cogn Psychol 22:1019); the number itself is own judgement.
    for sentence in said(code):
        assert words(sentence) <= LONGEST, sentence
        assert not re.search(r"[{}_]|\s\s", sentence), sentence
        assert not re.search(r"(?<!m)[.,:;?!][.,:;]", sentence), sentence  # but "a.m., before noon"
        assert sentence[-1] in ".?!…" or sentence.isdigit(), sentence
        assert sentence[0].isupper() or sentence[0] in "¿¡0123456789", sentence


@pytest.mark.parametrize("code", CODES)
def test_nothing_is_said_twice_in_a_row(code: str) -> None:
    for sheet in run_sheets(code):
        for call in sheet.calls:
            for before, after in itertools.pairwise(call.lines):
                assert not after.written or after.written != before.written, after.written


if __name__ == "__main__":
    for sentence, times in sorted(said(sys.argv[1]).items(), key=lambda each: (-words(each[0]), each[0])):
        sys.stdout.write(f"{words(sentence):2} {times:5} {sentence}\n")
