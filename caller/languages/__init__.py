"""Everything the caller says and shows, one folder for each language; and what each can say about a time."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib import import_module
from string import Formatter
from typing import Literal, cast

from caller.clock import ClockError, ClockTime, DayTime
from caller.clock.said_and_shown import Manner, spoken
from caller.languages.folders import CODES, MODEL, Words, module_of, words

Register = Literal["digital", "analogue"]

Tune = Literal["tell", "ask", "offer", "call", "count", "answer", "reason", "praise", "calm"]
"""How a sentence is said: what it is for can be heard before its words are understood."""

LARGEST_NUMBER = 99


@dataclass(frozen=True, slots=True)
class Stop:
    """A place in the speech of a time that an echoing hall may ask a pause for."""

    at: int
    """Index of the first letter after it."""
    before: Literal["hour", "minutes"]
    """What comes after it: the words for the hour, or for the minutes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """One thing to say.

    Attributes
    ----------
    written
        The words as they stand on the screen and in captions.
    speech
        The same words spelled for speech engines: never a digit.
    stops
        Where the hour and the minutes of each time begin in `speech`, in order.
    """

    written: str
    speech: str
    stops: tuple[Stop, ...] = ()

    def then(self, words: str) -> Phrase:
        """Return the phrase with more words after it."""
        return replace(self, written=f"{self.written} {words}", speech=f"{self.speech} {words}")


def same(words: str) -> Phrase:
    """Make a phrase that speech engines say right as it is written."""
    return Phrase(written=words, speech=words)


def hour_first(hour: str, minutes: str = "") -> Phrase:
    """Make the phrase of a time from the words for its hour and those for its minutes."""
    if not minutes:
        return replace(same(hour), stops=(Stop(0, "hour"),))
    stops = (Stop(0, "hour"), Stop(len(hour) + 1, "minutes"))
    return replace(same(f"{hour} {minutes}"), stops=stops)


def minutes_first(minutes: str, hour: str) -> Phrase:
    """Make the phrase of a time in which the minutes are said before the hour."""
    stops = (Stop(0, "minutes"), Stop(len(minutes) + 1, "hour"))
    return replace(same(f"{minutes} {hour}"), stops=stops)


def fill(sentence: str, slots: Mapping[str, Phrase]) -> Phrase:
    """Return a sentence with each `{slot}` in it filled, and the stops where they have come to lie."""
    written = speech = ""
    stops: list[Stop] = []
    for literal, name, _, _ in Formatter().parse(sentence):
        phrase = slots[name] if name is not None else same("")
        stops += (replace(stop, at=stop.at + len(speech) + len(literal)) for stop in phrase.stops)
        written += literal + phrase.written
        speech += literal + phrase.speech
    return Phrase(written=written, speech=speech, stops=tuple(stops))


class Language(ABC):
    """One language's words for times: pure functions of the time."""

    code: str
    """Language tag (BCP 47), such as ``en-GB``."""

    name: str
    """The language's own name for itself."""

    confusable_minutes: frozenset[frozenset[int]] = frozenset()
    """Pairs of minutes that sound alike in a hall, such as fifteen and fifty."""

    counts_from_half: bool = False
    """Whether minutes are counted from the half hour too, and it is named after the coming hour."""

    @abstractmethod
    def digital(self, time: ClockTime) -> Phrase:
        """Say the hour, then the minutes: "four forty"."""

    @abstractmethod
    def analogue(self, time: ClockTime) -> Phrase:
        """Say the time as the hands show it: "twenty to five"."""

    @abstractmethod
    def day_digital(self, time: DayTime) -> Phrase:
        """Say the time on the 24-hour clock: "sixteen forty"."""

    @abstractmethod
    def day_part(self, time: DayTime) -> Phrase:
        """Say the time with its part of the day: "twenty to five in the afternoon"."""

    @abstractmethod
    def numeral(self, time: ClockTime) -> str:
        """Write the time in digits, the way this country's schools do."""

    @abstractmethod
    def number(self, n: int) -> str:
        """Count: the number word standing alone, for 0 to 99."""

    @abstractmethod
    def hour(self, n: int) -> str:
        """Name an hour, 0 to 23, inside a sentence."""

    @abstractmethod
    def duration(self, minutes: int) -> Phrase:
        """Say a length of time in hours and minutes, up to 99 hours."""

    def manner(self, register: Register) -> Manner:
        """Return how this language takes a time apart in one of the two registers."""
        return "halves" if register == "analogue" and self.counts_from_half else register

    def manners(self, registers: Iterable[Register]) -> tuple[Manner, ...]:
        """Return how this language takes times apart in these registers, each once, in their order."""
        return tuple(dict.fromkeys(self.manner(each) for each in registers))

    def named_hour(self, time: ClockTime, register: Register) -> int:
        """Return the numeral of the hour that `phrase` names: the coming one in "twenty to five"."""
        return spoken(time, self.manner(register)).hour

    def phrase(self, time: ClockTime, register: Register) -> Phrase:
        """Say a time in one of the two registers."""
        return self.digital(time) if register == "digital" else self.analogue(time)

    def apart(self, time: ClockTime) -> Phrase:
        """Say the digital reading so that no minutes can be misheard.

        Languages without a habit of spelling minutes digit by digit return the plain reading.
        """
        return self.digital(time)

    def confusable(self, a: ClockTime, b: ClockTime) -> bool:
        """Tell whether two times differ only by minutes that sound alike, as 4:15 and 4:50 do."""
        return a.hour == b.hour and frozenset((a.minute, b.minute)) in self.confusable_minutes


def word_list(words: str) -> tuple[str, ...]:
    """Split a table of words written with spaces between them."""
    return tuple(words.split())


def next_hour(hour: int) -> int:
    """Return the hour on the dial that comes after ``hour``: 12 is followed by 1."""
    return hour % 12 + 1


def check_number(n: int) -> None:
    """Raise ClockError unless ``n`` is 0 to 99."""
    if not 0 <= n <= LARGEST_NUMBER:
        raise ClockError(f"There are number words for 0 to {LARGEST_NUMBER}, not for {n}.")


def check_hour(n: int) -> None:
    """Raise ClockError unless ``n`` is 0 to 23."""
    if not 0 <= n <= 23:
        raise ClockError(f"An hour is 0 to 23, not {n}.")


def split_duration(minutes: int) -> tuple[int, int]:
    """Split a number of minutes into hours and minutes; ClockError when it cannot be said."""
    hours, rest = divmod(minutes, 60)
    if not 0 <= hours <= LARGEST_NUMBER:
        raise ClockError(f"A length of time is 0 minutes to under 100 hours, not {minutes} minutes.")
    return hours, rest


def hour_told_from(time: DayTime) -> int:
    """Return the hour from which a time of day is told: past the half hour the coming one, 0 to 23."""
    return (time.hour + (time.minute > 30)) % 24


def part_of_day(hour: int, parts: tuple[tuple[int, str], ...]) -> str:
    """Return the last part of the day that has begun at ``hour``; ``parts`` holds (first hour, words)."""
    return [words for first, words in parts if first <= hour][-1]


__all__ = [
    "CODES",
    "MODEL",
    "Language",
    "Phrase",
    "Register",
    "Stop",
    "Tune",
    "Words",
    "fill",
    "language",
    "words",
]


@cache
def language(code: str) -> Language:
    """Return the language with this tag.

    Raises
    ------
    ClockError
        When the caller does not speak it; the text lists the tags it knows.
    """
    if code not in CODES:
        raise ClockError(f"The caller has no language {code!r}; it has {', '.join(CODES)}.")
    return cast(Language, import_module(f"{module_of(code)}.wording").LANGUAGE)
