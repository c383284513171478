"""Chapters: one for each round, and for each part before and after the rounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from caller.timeline.layout import CallLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """A chapter from sample `start` to sample `end`."""

    title: str
    start: int
    end: int


def chapters(layouts: Sequence[CallLayout], starts: Sequence[int]) -> tuple[Chapter, ...]:
    """Return the chapters of a lesson; each is called by the first words said in it.

    Those words are in the lesson's own language, and never give an answer away.
    """
    found = []
    places = zip(layouts, starts[:-1], starts[1:], strict=True)
    for _, grouped in groupby(places, key=lambda place: (place[0].call.part, place[0].call.round)):
        group = list(grouped)
        first = next(
            (line.written for layout, _, _ in group for line in layout.call.lines if line.written), ""
        )
        title = first.rstrip(".") or group[0][0].call.part
        found.append(Chapter(title=title, start=group[0][1], end=group[-1][2]))
    return tuple(found)
