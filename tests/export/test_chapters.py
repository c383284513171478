from __future__ import annotations

from caller.export.chapters import chapters
from caller.export.programme import Programme


def test_a_chapter_for_the_opening_and_for_each_round_named_by_its_first_words(programme: Programme) -> None:
    starts = programme.starts
    assert [(one.title, one.start, one.end) for one in chapters(programme.layouts, starts)] == [
        ("Hello, Terns!", 0, starts[1]),
        ("Clock 1 of 1", starts[1], starts[4]),
    ]
