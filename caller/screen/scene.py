"""A scene: all that one picture shows, as plain data.

The timeline makes scenes (a function of the sample being heard); the stage draws them. Two equal
scenes are the same picture, so drawing can be skipped and pictures can be reused.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from caller.clock.said_and_shown import Cue
from caller.deciding import Side
from caller.moves import WALKING_BPM
from caller.runsheet import Board, FiguresDo


@dataclass(frozen=True, slots=True, kw_only=True)
class ActiveCue:
    """A picture cue and how far it has come, from 0 (starting) to 1 (done, and staying)."""

    cue: Cue
    progress: float


HallSignal = Literal["attention", "time-up", "quiet"]
"""What a hall is told without words: look up, stop, be quiet. The first two are tones of that name too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RaisedSignal:
    """A signal for who does not hear it, and how far its cloth has risen: 0 (not yet, or gone) to 1."""

    signal: HallSignal
    up: float


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
    doing: FiguresDo = "move"  # what the figures do; "show" is for the lane talked about alone
    move_s: float = 0.0  # seconds since they began on a beat; below 0 before it; 0 while they stand
    bpm: float = WALKING_BPM  # the pace of that beat
    raised: RaisedSignal | None = None  # over the caption
    notice: str = ""  # the program's own word: "Paused", "No sound: read the words aloud"

    @property
    def covered(self) -> bool:
        """Whether a cloth lies over the caption, however far it has come: half a word helps nobody."""
        return self.raised is not None and self.raised.up > 0.0
