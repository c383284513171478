"""What is said in each language is short, whole and ended; `python -m benchmarks.sentences` writes it out."""

from __future__ import annotations

import itertools
import re

import pytest

from benchmarks.sentences import LONGEST, called, reckoned, run_sheets, said_in_lessons, words
from caller.languages import CODES


@pytest.mark.parametrize("code", CODES)
def test_what_is_said_is_short_whole_and_ended(code: str) -> None:
    # At most twelve words: 5- to 6-year-olds carry out two or three short actions of what they hear
    # (Gathercole et al. 2008, Appl Cogn Psychol 22:1019); the number itself is own judgement.
    for sentence in said_in_lessons(code) | called(code) | reckoned(code, sparse=5):
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
