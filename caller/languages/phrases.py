"""What the caller can be asked to say, the same in every language; and its sentences in each of them.

Sentences have slots, and there is one table for each language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Literal, TypeAlias, assert_never

from caller.clock import ClockTime, DayTime
from caller.clock.ladder import Step
from caller.clock.said_and_shown import Numerals, ShowReading
from caller.languages import Language, Phrase, Register, fill, language
from caller.languages.folders import table

_STOP_TOO_MANY = re.compile(r"(?<=[.?!…])\.(?=\s|$)")


@dataclass(frozen=True, slots=True)
class Verbatim:
    """A teacher's own words, or signs, which are the same in every language."""

    text: str


@dataclass(frozen=True, slots=True)
class WholeSentence:
    """A sentence by its key, such as "answer.is", and what fills its slots."""

    key: str
    slots: Mapping[str, ToSay] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Fragment:
    """Words by their key as they stand inside a sentence.

    Attributes
    ----------
    spoken_key
        They are spoken by this key, where speech engines need another spelling.
    lower
        Without a capital, which they have where they stand alone.
    """

    key: str
    slots: Mapping[str, ToSay] = field(default_factory=dict)
    spoken_key: str = ""
    lower: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """The reading of a dial.

    Attributes
    ----------
    again
        As it is read the second time.
    plain
        Never spelled, though another that sounds alike stands beside it.
    """

    time: ClockTime
    again: bool = False
    plain: bool = False


@dataclass(frozen=True, slots=True)
class Numeral:
    """A time in digits."""

    time: ClockTime


@dataclass(frozen=True, slots=True)
class DayReading:
    """A time of day: with its part of the day, or on the 24-hour clock."""

    time: DayTime
    on_24_hours: bool = False


@dataclass(frozen=True, slots=True)
class LengthOfTime:
    """So many minutes, in hours and minutes."""

    minutes: int


@dataclass(frozen=True, slots=True)
class MoveWords:
    """A move, by its slug: its name, its name as a sentence begins with it, or its call, one imperative."""

    move: str
    said: Literal["name", "begun name", "call"] = "name"


ToSay: TypeAlias = (
    Verbatim | WholeSentence | Fragment | Reading | Numeral | DayReading | LengthOfTime | MoveWords
)


@dataclass(frozen=True, slots=True)
class HandsRead:
    """Why it is this time, read off the two hands."""

    time: ClockTime


@dataclass(frozen=True, slots=True)
class WhyTempting:
    """How one comes to a wrong reading of a dial."""

    wrong: ClockTime
    right: ClockTime


@dataclass(frozen=True, slots=True)
class HourOfDay:
    """How the hour of the 24-hour clock comes from the reading that the class hears."""

    time: DayTime


Why: TypeAlias = HandsRead | WhyTempting | HourOfDay
"""One or more sentences, each with what it shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Speaking:
    """How a class is spoken to, whatever the language.

    Attributes
    ----------
    registers
        How a choice is read the first and the second time; answers and reasons are given in the first.
    numerals
        What stands on the dial.
    spelled_beside
        Beside one of these a reading that sounds alike is spelled: "four, one five".
    """

    step: Step
    registers: tuple[Register, Register]
    numerals: Numerals = "arabic"
    spelled_beside: tuple[ClockTime, ...] = ()


@dataclass(frozen=True, slots=True)
class Phrases:
    """The sentences of one language, by key such as "answer.is"."""

    language: Language
    sentences: dict[str, str]
    one: re.Pattern[str] | None = None  # times that take a sentence's "-one" form ("Es la una")

    @property
    def code(self) -> str:
        """Language tag, such as en-GB."""
        return self.language.code

    def say(self, key: str, **slots: Phrase | str) -> Phrase:
        """Return the sentence called `key` with its slots filled, its first letter a capital."""
        filled = self.part(key, **slots)
        filled = replace(filled, written=_ended_once(filled.written), speech=_ended_once(filled.speech))
        return replace(filled, written=_capital(filled.written), speech=_capital(filled.speech))

    def part(self, key: str, **slots: Phrase | str) -> Phrase:
        """Return the words called `key` as they stand inside a sentence."""
        phrases = {name: slot if isinstance(slot, Phrase) else same(slot) for name, slot in slots.items()}
        if self.one and f"{key}-one" in self.sentences and self.one.match(phrases["time"].written):
            key = f"{key}-one"
        return fill(self.sentences[key], phrases)

    def words(self, wanted: ToSay, speaking: Speaking) -> Phrase:
        """Return what is to be said, in this language."""
        match wanted:
            case Verbatim(text):
                return same(text)
            case WholeSentence(key, slots):
                return self.say(key, **self._filled(slots, speaking))
            case Fragment(key, slots, spoken_key, lower):
                filled = self._filled(slots, speaking)
                phrase = self.part(key, **filled)
                if spoken_key:
                    return replace(phrase, speech=self.part(spoken_key, **filled).speech)
                return same(phrase.written.lower()) if lower else phrase
            case Reading():
                return self._reading(wanted, speaking)
            case Numeral(time):
                return same(self.language.numeral(time))
            case DayReading(day_time, on_24_hours):
                return (self.language.day_digital if on_24_hours else self.language.day_part)(day_time)
            case LengthOfTime(minutes):
                return self.language.duration(minutes)
            case MoveWords(move, said):
                entry = table(self.code, "moves")[move]
                words = str(entry["call" if said == "call" else "name"])
                return same(words[:1].upper() + words[1:] if said == "begun name" else words)
            case _:
                assert_never(wanted)

    def _filled(self, slots: Mapping[str, ToSay], speaking: Speaking) -> dict[str, Phrase]:
        return {name: self.words(slot, speaking) for name, slot in slots.items()}

    def _reading(self, wanted: Reading, speaking: Speaking) -> Phrase:
        register = speaking.registers[1 if wanted.again else 0]
        # Nobody is taught "three, three zero" without "three, one three" beside it.
        alike = any(self.language.confusable(wanted.time, other) for other in speaking.spelled_beside)
        if alike and register == "digital" and not wanted.plain:
            return self.language.apart(wanted.time)
        return self.language.phrase(wanted.time, register)

    def reading_shown(self, wanted: Reading, speaking: Speaking) -> ShowReading:
        """Return the picture of a reading, with the numeral lit that its words name as the hour."""
        register = speaking.registers[1 if wanted.again else 0]
        return ShowReading(wanted.time, self.language.named_hour(wanted.time, register))

    def hour_of_day(self, time: DayTime) -> Iterator[Phrase]:
        """Yield how the hour of the 24-hour clock comes from the reading that the class hears.

        "Quarter to six" names six, and no sum with six gives seventeen: first it is read off as five
        forty-five.
        """
        language = self.language
        heard, plain = language.day_part(time), language.digital(time.dial)
        if (
            language.named_hour(time.dial, "analogue") != time.dial.hour
            and plain.written not in heard.written
        ):
            # "Minuit moins le quart" is not what a dial alone says.
            reading = language.analogue(time.dial)
            said = heard if reading.written not in heard.written else reading
            yield self.say("day-part.read-off", time=said, digital=plain)
        if time.hour in (0, 12):
            yield self.say("day-part.noon" if time.hour else "day-part.midnight")
        elif time.hour < 12:
            yield self.say("day-part.morning", hour=language.number(time.hour))
        else:
            hour, dial = language.number(time.hour), language.number(time.hour - 12)
            yield self.say("day-part.afternoon", dial=dial, hour=hour)


def same(words: str) -> Phrase:
    """Return words that are spoken as they are written."""
    return Phrase(written=words, speech=words)


@cache
def phrases(code: str) -> Phrases:
    """Return the phrases of the language with this tag."""
    groups = dict(table(code, "phrases"))
    one = groups.pop("one", None)
    sentences = {
        f"{group}.{name}": sentence for group, named in groups.items() for name, sentence in named.items()
    }
    return Phrases(language(code), sentences, re.compile(one) if one else None)


def _ended_once(words: str) -> str:
    """Return a sentence without the full stop that follows a slot's own mark: "Today: How long?."."""
    return _STOP_TOO_MANY.sub("", words)


def _capital(words: str) -> str:
    # A Spanish question begins with a mark that has no capital; the letter after it takes it.
    for index, letter in enumerate(words):
        if letter.isalnum():
            return words[:index] + letter.upper() + words[index + 1 :]
    return words


@dataclass(frozen=True, slots=True, kw_only=True)
class Templates:
    """
    One language's sentences.

    Attributes
    ----------
    numeral_nouns : bool
        Whether a numeral of the dial is written with a capital, as in German "die Vier".
    short, long : mapping
        Sentences about the short and the long hand, each from its fullest form to its shortest.
    ones : str
        How single minutes join the fives counted before them: ", and {ones}".
    wrong : mapping
        For each mix-up, the sentence about the reading it gives.
    plain : str
        The sentence about a wrong reading of which no mix-up may be told.
    """

    numeral_nouns: bool
    short: Mapping[str, Sequence[str]]
    long: Mapping[str, Sequence[str]]
    ones: str
    wrong: Mapping[str, str]
    plain: str


@cache
def templates(code: str) -> Templates:
    """The sentences for a language tag such as ``"en-GB"``."""
    return Templates(**table(code, "reasons"))
