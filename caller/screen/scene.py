"""A scene: all that one picture shows, as plain data.

The timeline makes scenes (a function of the sample being heard); the stage draws them. Two equal
scenes are the same picture, so drawing can be skipped and pictures can be reused.
"""

from __future__ import annotations

from dataclasses import dataclass

from caller.clock.cues import Cue
from caller.runsheet.model import Board, Side


@dataclass(frozen=True, slots=True, kw_only=True)
class ActiveCue:
    """A picture cue and how far it has come, from 0 (starting) to 1 (done, and staying)."""

    cue: Cue
    progress: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One picture of the lesson."""

    board: Board
    caption: str = ""
    cues: tuple[ActiveCue, ...] = ()  # in the order they began
    point_to: Side | None = None  # the lane being talked about
    count: int | None = None  # a repetition number, shown large
    think_s: float | None = None  # the whole think time, where one is running
    left_s: float = 0.0  # what is left of it
    move_s: float = 0.0  # seconds the figures have been moving
    notice: str = ""  # the program's own word: "Paused", "No sound: read the words aloud"
