"""A listener: it understands a time that was said or written, in either register.

Its grammars share no words and no code with the languages that speak, so the two check each other.
"""

from __future__ import annotations

from caller.clock import ClockError, ClockTime, DayTime
from tests.reference.grammars.english import AMERICAN, AMERICAN_DAY, BRITISH, BRITISH_DAY
from tests.reference.grammars.french import FRENCH, FRENCH_DAY
from tests.reference.grammars.german import GERMAN, GERMAN_DAY
from tests.reference.grammars.rules import Rule
from tests.reference.grammars.spanish import AMERICAN_SPANISH, AMERICAN_SPANISH_DAY, SPANISH, SPANISH_DAY

_GRAMMARS = {
    "en-GB": (BRITISH, BRITISH_DAY),
    "en-US": (AMERICAN, AMERICAN_DAY),
    "es": (SPANISH, SPANISH_DAY),
    "es-US": (AMERICAN_SPANISH, AMERICAN_SPANISH_DAY),
    "fr": (FRENCH, FRENCH_DAY),
    "de": (GERMAN, GERMAN_DAY),
}


def listen(text: str, code: str) -> frozenset[ClockTime]:
    """Return every time on the dial that the text can mean; none when it is no time.

    Capitals, accents, hyphens and punctuation do not matter, and numbers may be words or figures.

    Raises
    ------
    ClockError
        When there is no grammar for this language.
    """
    dial, _ = _grammars(code)
    return frozenset(ClockTime.from_minutes(minutes) for minutes in dial.meanings(text))


def listen_day(text: str, code: str) -> frozenset[DayTime]:
    """Return every time of day that the text can mean; none when it is no time.

    A reading by hour and minutes without a part of the day is taken from the 24-hour clock ("vier Uhr" is
    04:00). One that only a dial gives, such as "twenty to five" alone, is both of its times of day.

    Raises
    ------
    ClockError
        When there is no grammar for this language.
    """
    _, day = _grammars(code)
    return frozenset(DayTime.from_minutes(minutes) for minutes in day.meanings(text))


def _grammars(code: str) -> tuple[Rule, Rule]:
    try:
        return _GRAMMARS[code]
    except KeyError:
        raise ClockError(f"The listener has no language {code!r}; it has {', '.join(_GRAMMARS)}.") from None
