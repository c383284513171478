"""The lesson: what a teacher writes, and its times as keys of a script. Nothing in it is computed.

Every key has a default, so a lesson may be as short as one round with a time in it. The notes are
the words that a script's comments and the published schema carry.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias, get_args

from caller.clock import ClockError, ClockTime, DayTime
from caller.clock.ladder import STEP_CODES
from caller.clock.said_and_shown import Numerals
from caller.languages.folders import CODES
from caller.moves import catalogue
from caller.moves.uses import CatchUpKind
from caller.questions import QUESTION_CODES
from caller.scripts.kinds import FileName, Flag, Known, ListOf, Number, OneOf, TableOf, TablesOf, Text, Whole
from caller.scripts.tables import Misfit, Single, key, shortened

_TIME = r"^ *([0-9]{1,2}):([0-9]{2}) *(am|pm|a\.m\.|p\.m\.)? *$"
_DIAL_TIME = re.compile(r"^ *(0?[1-9]|1[0-2]):([0-5][0-9]) *$")
_DAY_TIME = re.compile(_TIME, re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Time(Single[ClockTime]):
    """A time on a dial, like "4:40"."""

    def accept(self, value: object) -> ClockTime:
        """Return the time."""
        written = _written(value)
        try:
            return ClockTime.parse(written)
        except ClockError as error:
            raise _misfit(written, _told(error, written)) from None

    def write(self, value: ClockTime) -> str:
        """Return hour, colon, minutes."""
        return str(value)

    def schema(self) -> dict[str, Any]:
        """Return a string with the hours 1 to 12."""
        return {"type": "string", "pattern": _DIAL_TIME.pattern}


@dataclass(frozen=True, slots=True)
class AnyTime(Single[ClockTime | DayTime]):
    """A time on a dial, like "4:40", or of a day, like "16:40" or "4:40 pm"."""

    def accept(self, value: object) -> ClockTime | DayTime:
        """Return a dial's time where it can be one, else the time of day."""
        written = _written(value)
        half = _DAY_TIME.fullmatch(written)
        try:
            if half and half[3]:
                time = ClockTime.parse(f"{half[1]}:{half[2]}")
                return DayTime(time.hour % 12 + (12 if half[3].lower().startswith("p") else 0), time.minute)
            if half and not 1 <= int(half[1]) <= 12:
                return DayTime.parse(written)
            return ClockTime.parse(written)
        except ClockError as error:
            raise _misfit(written, _told(error, written)) from None

    def write(self, value: ClockTime | DayTime) -> str:
        """Return a form that reads back as the same type: "4:40", "16:40", "4:40 am"."""
        if isinstance(value, DayTime) and 1 <= value.hour <= 12:
            return f"{value.dial} {'pm' if value.hour == 12 else 'am'}"
        return str(value)

    def schema(self) -> dict[str, Any]:
        """Return a string with the hours 0 to 23, or 1 to 12 with am or pm."""
        return {"type": "string", "pattern": _ANY_TIME}


_ANY_TIME = r"^ *(([01]?[0-9]|2[0-3]):[0-5][0-9]|(0?[1-9]|1[0-2]):[0-5][0-9] *([aApP][mM]|[aApP]\.[mM]\.)) *$"


def _written(value: object) -> str:
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, datetime.time):
        shown = f"{value.hour}:{value.minute:02d}"
        raise Misfit("this time has no quotes, or has seconds.", f'Write "{shown}".')
    if isinstance(value, float):
        written = f"{value:.2f}"
        raise _misfit(written, f"{shortened(written, 12)} is a number, not a time.")
    raise Misfit("this needs a time.", 'Write hour, colon, minutes in quotes, like "4:40".')


def _told(error: ClockError, written: str) -> str:
    """Return the clock's own sentence where it says more than that this is no time."""
    if re.fullmatch(r"[0-9]{1,2}:[0-9]{2}", written):
        return shortened(str(error), 160)
    if re.fullmatch(r"[0-9]{1,2}\D?[0-9]{2}", written):
        return f'"{written}" has no colon.'
    return f'"{shortened(written)}" is not written as a time.'


def _misfit(written: str, otherwise: str) -> Misfit:
    """Return what is wrong with a written time, and the time that seems meant, if one does."""
    digits = re.fullmatch(r"([0-9]{1,2})(\D?)([0-9]{2})", written)
    mend = 'Write hour, colon, minutes, like "4:40".'
    if digits and int(digits[3]) > 59:
        return Misfit(f'"{written}" is not a time: the minutes go from 00 to 59.', mend)
    if digits and int(digits[1]) <= 23 and digits[2] != ":":
        mend = f'Write "{int(digits[1])}:{digits[3]}" if that is meant.'
    return Misfit(otherwise, mend)


# ruff: noqa: RUF009 - `key` returns a dataclass field, as dataclasses.field does


LessonRegister = Literal["digital", "analogue", "both"]
LanguageCode: TypeAlias = str
"""Tag of a language that has a folder in `caller/languages/`."""
AnswerSide = Literal["left", "middle", "right"]

FORMAT = 1
MOST_ROUNDS = 60

_MOVE = Known("move", catalogue)
_LANGUAGE = OneOf(CODES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """How the caller speaks."""

    name: str = key("", Text(60), "A voice of this computer; leave it out for the language's own.")
    rate_wpm: int | None = key(
        None, Whole(80, 220, "words a minute"), "Words a minute; left out, what the hall needs."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """What comes before the clocks."""

    welcome: str = key("", Text(300), "Your own words of welcome.")
    lead_in: str = key("", Text(300), "What today is about, said after the welcome.")
    safety: bool = key(True, Flag(), "The safety reminder. Your school's own rules come first.")
    warm_up: tuple[str, ...] = key((), ListOf(_MOVE, 6), "Warm-up moves; chosen for you if left out.")
    warm_up_seconds: int = key(120, Whole(0, 600, "seconds"), "How long the warm-up lasts; 0 leaves it out.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """A clock read together, slowly, before anyone has to choose."""

    time: ClockTime | None = key(None, Time(), "The clock; chosen for you if left out.")
    skip: bool = key(False, Flag(), "true leaves the example out.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """A round to try out, where nothing depends on the answer."""

    time: ClockTime | None = key(None, Time(), "The clock; chosen for you if left out.")
    wrong: tuple[ClockTime, ...] = key(
        (), ListOf(Time(), 2), "The other reading; chosen for you if left out."
    )
    moves: tuple[str, ...] = key((), ListOf(_MOVE, 3), "The moves from left to right.")
    skip: bool = key(False, Flag(), "true leaves the practice out.")


@dataclass(frozen=True, slots=True, kw_only=True)
class CatchUp:
    """What everyone does together after an answer."""

    kind: CatchUpKind = key(
        "everyone", OneOf(get_args(CatchUpKind)), "Who does it, and how; none turns it off."
    )
    seconds: int = key(17, Whole(12, 20, "seconds"), "How long the whole class moves together.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One clock, two or three choices, one move for each."""

    kind: str = key("read", OneOf(QUESTION_CODES), "The kind of question.")
    time: ClockTime | DayTime | None = key(
        None, AnyTime(), 'The clock, like "4:40" (of the day: "16:40"); chosen from the step if left out.'
    )
    wrong: tuple[ClockTime | DayTime, ...] = key(
        (), ListOf(AnyTime(), 2), "The wrong reading or readings; chosen for you if left out."
    )
    claim: ClockTime | None = key(None, Time(), "is-it-so: the time that is claimed.")
    change_minutes: int = key(30, Whole(1, 660, "minutes"), "later, earlier, how-long: how many minutes.")
    choices: int | None = key(None, Whole(2, 3, "choices"), "Two or three choices.")
    moves: tuple[str, ...] = key(
        (), ListOf(_MOVE, 3), "The moves from left to right; chosen for you if left out."
    )
    answer: AnswerSide | None = key(None, OneOf(get_args(AnswerSide)), "Where the right choice stands.")
    think_seconds: int | None = key(
        None, Whole(3, 120, "seconds"), "Time to decide and to do the move in this round."
    )
    catch_up: CatchUpKind | None = key(None, OneOf(get_args(CatchUpKind)), "The catch-up after this round.")
    say: str = key("", Text(300), "Your own words before the question.")
    reason: str = key("", Text(300), "Your own words for why, instead of the caller's.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Close:
    """The calm end."""

    say: str = key("", Text(300), "Your own words at the end.")
    breaths: int = key(4, Whole(0, 8, "breaths"), "How many slow breaths together.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """A whole lesson, as written."""

    format: int = key(FORMAT, Whole(1, FORMAT), "The format of this file.")
    title: str = key("", Text(80), "Shown large at the start.")
    class_name: str = key("", Text(60), "The class's name; never a pupil's.", name="class")
    step: str = key("quarters", OneOf(STEP_CODES), "How finely this class reads the clock.")
    seed: int = key(1, Whole(0, 2**31 - 1), "Another number gives other choices, moves and sides.")
    language: LanguageCode = key("en-GB", _LANGUAGE, "The language of the calls.")
    second_language: LanguageCode | None = key(
        None, _LANGUAGE, "A language in which the main words are said again."
    )
    register: LessonRegister = key(
        "both", OneOf(get_args(LessonRegister)), "digital: four forty; analogue: twenty to five; or both."
    )
    numerals: Numerals = key(
        "arabic", OneOf(get_args(Numerals)), "On the dial: arabic, 1 to 12, or roman, I to XII."
    )
    minutes: int | None = key(None, Whole(1, 120, "minutes"), "The length of the period, if it has to fit.")
    age: int = key(
        7, Whole(4, 13, "years"), "How old the youngest are: moves and holds are as long as suits them."
    )
    think_seconds: int | None = key(
        None,
        Whole(3, 120, "seconds"),
        "Time to decide, standing still, and to move; left out, as long as suits the moves and the age.",
    )
    say_twice: bool = key(False, Flag(), "true says the choices twice, the second time in the other wording.")
    choices: int = key(2, Whole(2, 3, "choices"), "Two or three choices in a round.")
    hall: str = key("", FileName(), 'A hall file beside this one, or a ready-made hall such as "gym".')
    quiet_gate_seconds: int = key(
        0, Whole(0, 60, "seconds"), "Wait so long for quiet after a catch-up, by microphone; 0 does not wait."
    )
    count_by_ear: bool = key(
        False,
        Flag(),
        "true has each side clap before the answer, and counts the class by the microphone.",
    )
    space_m: float = key(2.0, Number(0.5, 10.0, "metres"), "Free floor for each child, across, in metres.")
    shod: bool = key(True, Flag(), "true with shoes on; false keeps to moves that suit bare feet or socks.")
    wet: bool = key(False, Flag(), "true where the floor may be damp: no jumps, no floor moves.")
    seated: bool = key(False, Flag(), "true keeps to seated moves.")
    beat: bool = key(True, Flag(), "Drum and bass while the class moves; false leaves it out.")
    voice: Voice = key(Voice(), TableOf(Voice), "How the caller speaks.")
    opening: Opening = key(Opening(), TableOf(Opening), "What comes before the clocks.")
    worked_example: Example = key(Example(), TableOf(Example), "A clock read together first.")
    practice: Practice = key(Practice(), TableOf(Practice), "A round to try out.")
    catch_up: CatchUp = key(CatchUp(), TableOf(CatchUp), "What everyone does together after an answer.")
    rounds: tuple[Round, ...] = key(
        (), TablesOf(Round, MOST_ROUNDS, least=1), "One clock each.", name="round"
    )
    calm_last_round: bool = key(True, Flag(), "The last round is done with calm moves.")
    close: Close = key(Close(), TableOf(Close), "The calm end.")
