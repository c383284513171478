from __future__ import annotations

import pytest

from caller.moves.catalogue import LANGUAGES
from caller.moves.safety import SOURCES, WHO_DECIDES, cautions


@pytest.mark.parametrize("language", LANGUAGES)
def test_cautions_are_short_and_end_with_who_decides(language: str) -> None:
    lines = cautions(language)
    assert len(lines) == len(cautions("en"))
    assert lines[-1] == WHO_DECIDES[language]
    assert all(line.endswith(".") and len(line) <= 80 for line in lines)
    assert len(set(lines)) == len(lines)


def test_who_decides_is_said_in_full() -> None:
    assert WHO_DECIDES["en"] == "Local rules, the school's policy and qualified staff decide."


def test_a_region_takes_the_lines_of_its_language_and_others_take_english() -> None:
    assert cautions("es-MX") == cautions("es")
    assert cautions("en-US") == cautions("cy") == cautions("en")


def test_every_source_says_whether_it_was_read() -> None:
    assert {source.status for source in SOURCES} <= {"found", "found-2", "from memory"}
