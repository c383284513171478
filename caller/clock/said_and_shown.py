"""How a time is taken apart to be said, and what a picture can show while a reason is said.

A child's slip happens in these words, not on a number line: "ten to five" with its past and to exchanged is
"ten past five", and with the passed hour it is "ten to four". Which words there are depends on the wording
and on the language, so every rule about them asks for the manner of speaking.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

from caller.clock import ClockTime

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


Manner: TypeAlias = Literal[
    "digital", "analogue", "halves", "digital on roman", "analogue on roman", "halves on roman"
]
"""
"digital" says the hour and then the minutes: four forty. "analogue" counts from the nearer hour: twenty to
five. "halves" counts from the half hour too and names it after the coming hour: German "fünf vor halb fünf".
Each may be read off a dial with Roman numerals.
"""

Numerals: TypeAlias = Literal["arabic", "roman"]
"""What stands on the dial: 1 to 12, or I to XII."""

_ROMAN = ("XII", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI")
_READ_OFF: Mapping[Manner, Manner] = MappingProxyType(
    {"digital": "digital on roman", "analogue": "analogue on roman", "halves": "halves on roman"}
)
_SAID: Mapping[Manner, Manner] = MappingProxyType({roman: said for said, roman in _READ_OFF.items()})

Manners: TypeAlias = Collection[Manner]

EVERY_MANNER: tuple[Manner, ...] = ("digital", "analogue", "halves")

# In German everyday wording twenty past and twenty to are the last that are counted from the hour.
_LAST_FROM_HOUR = 20


def numeral_on_dial(hour: int, numerals: Numerals) -> str:
    """Write an hour's numeral as it stands on the dial."""
    return _ROMAN[hour % 12] if numerals == "roman" else str(hour)


def read_off(manner: Manner, numerals: Numerals) -> Manner:
    """The manner in which a class reads that says times so, off a dial with these numerals."""
    return _READ_OFF.get(manner, manner) if numerals == "roman" else manner


def said_plainly(manner: Manner) -> Manner:
    """The manner of speaking alone, whatever stands on the dial."""
    return _SAID.get(manner, manner)


@dataclass(frozen=True, slots=True)
class Spoken:
    """
    The parts of a reading.

    Attributes
    ----------
    hour : int
        The hour that is named, 1 to 12.
    distance : int
        The minutes that are counted, 0 where none are; a quarter is 15, a half counted from the hour 30.
    towards : str
        Whether they come after ("past") or before ("to") what they are counted from; "past" for 0.
    from_half : bool
        Whether they are counted from the half hour, which is named after the coming hour.
    """

    hour: int
    distance: int
    towards: Towards = "past"
    from_half: bool = False

    @property
    def origin(self) -> int:
        """The numeral at which the count of the minutes begins."""
        return 6 if self.from_half else 12


def coming_hour(hour: int) -> int:
    """The hour after this one on the dial: 12 is followed by 1."""
    return hour % 12 + 1


def spoken(time: ClockTime, manner: Manner) -> Spoken:
    """Take a time apart as this manner of speaking says it."""
    hour, minute = time.hour, time.minute
    if manner == "digital":
        return Spoken(hour, minute)
    if manner == "halves" and _LAST_FROM_HOUR < minute < 60 - _LAST_FROM_HOUR:
        towards: Towards = "to" if minute < 30 else "past"
        return Spoken(coming_hour(hour), abs(minute - 30), towards, from_half=True)
    if minute <= 30:
        return Spoken(hour, minute)
    return Spoken(coming_hour(hour), 60 - minute, "to")


def meant(words: Spoken, manner: Manner) -> ClockTime | None:
    """The time that is said in exactly these words, or None where nobody says so ("forty to five")."""
    base = 60 * words.hour - (30 if words.from_half else 0)
    if words.distance == 0:
        words = Spoken(words.hour, 0, from_half=words.from_half)
    time = ClockTime.from_minutes(base + (words.distance if words.towards == "past" else -words.distance))
    return time if spoken(time, manner) == words else None
