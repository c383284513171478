"""The sentences of reasons, in each language."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from caller.languages.folders import table


@dataclass(frozen=True, slots=True, kw_only=True)
class Templates:
    """
    One language's sentences.

    Attributes
    ----------
    numeral_nouns : bool
        Whether a numeral of the dial is written with a capital, as in German "die Vier".
    counts_from_half : bool
        Whether minutes are counted from the half hour too, as in German "fünf nach halb fünf".
    short, long : mapping
        Sentences about the short and the long hand, each from its fullest form to its shortest.
    ones : str
        How single minutes join the fives: ", and {ones}".
    wrong, plain : str
        The sentence about a wrong reading, with and without a mix-up behind it.
    how : mapping
        For each mix-up, what goes into `wrong`.
    """

    numeral_nouns: bool
    counts_from_half: bool
    short: Mapping[str, Sequence[str]]
    long: Mapping[str, Sequence[str]]
    ones: str
    wrong: str
    plain: str
    how: Mapping[str, str]

    @property
    def lengths(self) -> int:
        """How many lengths, at most, a sentence comes in."""
        return max(len(forms) for forms in (*self.short.values(), *self.long.values()))


@cache
def templates(code: str) -> Templates:
    """The sentences for a language tag such as ``"en-GB"``."""
    return Templates(**table(code, "reasons"))
