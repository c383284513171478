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
