"""Times in words, in every language the caller speaks."""

from __future__ import annotations

from caller.clock.times import ClockError
from caller.clock.wording.base import Language, Phrase, Register, Stop, fill
from caller.clock.wording.english import AMERICAN, BRITISH
from caller.clock.wording.french import FRENCH
from caller.clock.wording.german import GERMAN
from caller.clock.wording.spanish import SPANISH

__all__ = ["CODES", "Language", "Phrase", "Register", "Stop", "fill", "language"]

_LANGUAGES = {each.code: each for each in (BRITISH, AMERICAN, SPANISH, FRENCH, GERMAN)}

CODES = tuple(_LANGUAGES)
"""Tags of the languages the caller speaks."""


def language(code: str) -> Language:
    """Return the language with this tag.

    Raises
    ------
    ClockError
        When the caller does not speak it; the text lists the tags it knows.
    """
    try:
        return _LANGUAGES[code]
    except KeyError:
        raise ClockError(f"The caller has no language {code!r}; it has {', '.join(CODES)}.") from None
