"""What a picture can show while a reason is said: plain data for a drawing to animate."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from caller.clock.times import ClockTime

Towards: TypeAlias = Literal["past", "to"]
Hand: TypeAlias = Literal["hour", "minute"]


@dataclass(frozen=True, slots=True)
class HourSector:
    """Light the sector from this numeral, which the hour hand has passed, up to the next one."""

    hour: int


@dataclass(frozen=True, slots=True)
class MinuteCount:
    """
    Walk from a numeral to the minute hand: `fives` numerals on, then `ones` marks.

    Attributes
    ----------
    towards : str
        Clockwise for "past", anticlockwise for "to".
    origin : int
        The numeral where the walk starts: twelve, unless the voice takes up the count further on.
    counted : int
        The minutes that `origin` already stands for. "From six: thirty, thirty-five" has origin 6 and
        30 counted; "fünf nach halb" counts from six too, but from nothing.
    """

    fives: int
    ones: int
    towards: Towards
    origin: int = 12
    counted: int = 0


@dataclass(frozen=True, slots=True)
class HandPulse:
    """Draw the eye to one hand."""

    hand: Hand


@dataclass(frozen=True, slots=True)
class ShowReading:
    """Show the time that the reason ends on."""

    time: ClockTime


@dataclass(frozen=True, slots=True)
class GhostDial:
    """Draw pale hands where this wrong reading would have needed them."""

    time: ClockTime


Cue: TypeAlias = HourSector | MinuteCount | HandPulse | ShowReading | GhostDial
