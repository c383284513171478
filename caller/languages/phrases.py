"""The sentences of the caller and of its reasons, in each language: with slots, one table per language."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from caller.languages import Language, Phrase, fill, language
from caller.languages.folders import table

_STOP_TOO_MANY = re.compile(r"(?<=[.?!…])\.(?=\s|$)")


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
