"""What a picture can show while a reason is said: plain data for a drawing to animate."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from caller.clock.times import ClockTime

Towards: TypeAlias = Literal["past", "to"]
Hand: TypeAlias = Literal["hour", "minute"]


@dataclass(frozen=True, slots=True)
class HourSector:
    """
    Light the sector from the numeral that the hour hand has passed up to the next one.

    Attributes
    ----------
    hour : int
        The numeral passed, where the sector begins.
    lit : int
        The numeral that the words name as the hour: this one is turned round, and no other.
    """

    hour: int
    lit: int


@dataclass(frozen=True, slots=True)
class MinuteCount:
    """
    Walk round the dial to the minute hand while the voice counts.

    Attributes
    ----------
    towards : str
        Clockwise for "past", anticlockwise for "to".
    end : int
        The minute mark at which the walk ends, 0 to 59: where the minute hand stands.
    counted : tuple of (int, int)
        Each number that the voice says, in order, with the minute mark at which it is written: numeral n is
        at mark 5 n. Nothing else is written. "Three is fifteen, then twenty" is ((15, 15), (20, 20)); in
        "forty, and three more" the last is (43, 3). Empty where the voice counts nothing.
    origin : int
        The numeral where the walk starts: twelve, or six where minutes are counted from the half hour.
    """

    towards: Towards
    end: int
    counted: tuple[tuple[int, int], ...] = ()
    origin: int = 12


@dataclass(frozen=True, slots=True)
class HandPulse:
    """Draw the eye to one hand."""

    hand: Hand


@dataclass(frozen=True, slots=True)
class ShowReading:
    """
    Show the time that the reason ends on.

    Attributes
    ----------
    lit : int, optional
        The numeral that the words name as the hour; where none is given, none is turned round.
    """

    time: ClockTime
    lit: int | None = None


@dataclass(frozen=True, slots=True)
class GhostDial:
    """Draw pale hands where this wrong reading would have needed them."""

    time: ClockTime


@dataclass(frozen=True, slots=True)
class TimeJump:
    """
    Take the hands from one time to another, and draw the jump on the empty number line under the dial.

    Attributes
    ----------
    minutes : int
        How far, below zero for going back.
    number : int
        Which jump of the line it is, from 0.
    """

    start: ClockTime
    minutes: int
    number: int


Cue: TypeAlias = HourSector | MinuteCount | HandPulse | ShowReading | GhostDial | TimeJump
