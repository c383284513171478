"""Times as keys of a script: on a dial, or of a day."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Any

from caller.clock.times import ClockError, ClockTime, DayTime
from caller.scripts.tables import Misfit, Single, shortened

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
