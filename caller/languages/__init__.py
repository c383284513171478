"""Everything the caller says and shows, one folder for each language."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from typing import cast

from caller.clock.times import ClockError
from caller.languages.folders import CODES, MODEL, Words, module_of, words
from caller.languages.language import Language, Phrase, Register, Stop, fill

__all__ = ["CODES", "MODEL", "Language", "Phrase", "Register", "Stop", "Words", "fill", "language", "words"]


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
