from __future__ import annotations

import pytest

from caller.languages import CODES
from caller.moves.safety import SOURCES, cautions, who_decides


@pytest.mark.parametrize("language", CODES)
def test_cautions_are_short_and_end_with_who_decides(language: str) -> None:
    lines = cautions(language)
    assert len(lines) == len(cautions("en-GB"))
    assert lines[-1] == who_decides(language)
    assert all(line.endswith(".") and len(line) <= 80 for line in lines)
    assert len(set(lines)) == len(lines)


def test_who_decides_is_said_in_full() -> None:
    assert who_decides() == "Local rules, the school's policy and qualified staff decide."


def test_every_source_says_whether_it_was_read() -> None:
    assert {source.status for source in SOURCES} <= {"found", "found-2", "from memory"}
