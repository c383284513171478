"""Grammar rules over words: sequence, choice, option and meaning, keeping every way to understand a text."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping

Words = tuple[str, ...]
Values = tuple[int, ...]
Step = Iterator[tuple[Values, int]]

HALF_DAY = 720
DAY = 1440

_WORD = re.compile(r"\d+|:|[^\W\d_]+(?:'[^\W\d_]+)*")


def split_words(text: str) -> Words:
    """Split a text into plain words and numerals.

    Capitals, accents, hyphens and punctuation make no difference, except the colon or point inside "4:40".
    """
    plain = unicodedata.normalize("NFD", text.casefold().replace("’", "'"))
    plain = "".join(mark for mark in plain if not unicodedata.combining(mark))
    return tuple(_WORD.findall(re.sub(r"(?<=\d)\.(?=\d)", ":", plain)))


class Rule:
    """A piece of grammar.

    From a place among the words it finds every way to go on, each with the numbers it understood. ``a + b``
    is a followed by b, ``a | b`` either of them, and ``a >> f`` gives a the meaning ``f(*numbers)``, where
    None says that the words make no sense so.
    """

    def __init__(self, find: Callable[[Words, int], Step]) -> None:
        self.find = find

    def __add__(self, then: Rule) -> Rule:
        """Follow this rule by another."""

        def find(words: Words, at: int) -> Step:
            for first, middle in self.find(words, at):
                for second, end in then.find(words, middle):
                    yield first + second, end

        return Rule(find)

    def __or__(self, other: Rule) -> Rule:
        """Take this rule or another."""

        def find(words: Words, at: int) -> Step:
            yield from self.find(words, at)
            yield from other.find(words, at)

        return Rule(find)

    def __rshift__(self, meaning: Callable[..., int | None]) -> Rule:
        """Turn the numbers understood into one."""

        def find(words: Words, at: int) -> Step:
            for values, end in self.find(words, at):
                value = meaning(*values)
                if value is not None:
                    yield (value,), end

        return Rule(find)

    def meanings(self, text: str) -> set[int]:
        """Return every meaning of the whole text."""
        words = split_words(text)
        return {value for (value,), end in self.find(words, 0) if end == len(words)}


def word(*choices: str) -> Rule:
    """Take one of these words, or series of words, without a meaning of its own."""
    series = tuple(tuple(choice.split()) for choice in choices)

    def find(words: Words, at: int) -> Step:
        for each in series:
            if words[at : at + len(each)] == each:
                yield (), at + len(each)

    return Rule(find)


def optional(rule: Rule) -> Rule:
    """Take the rule or nothing."""
    return rule | word("")


def named(meanings: Mapping[str, int]) -> Rule:
    """Take one of these words and its number."""

    def find(words: Words, at: int) -> Step:
        if at < len(words) and words[at] in meanings:
            yield (meanings[words[at]],), at + 1

    return Rule(find)


def span(meanings: Mapping[str, tuple[int, int]]) -> Rule:
    """Take one of these series of words and the stretch of the day it stands for, in hours from midnight."""

    def find(words: Words, at: int) -> Step:
        for series, (first, last) in meanings.items():
            each = tuple(series.split())
            if words[at : at + len(each)] == each:
                yield (first * 60, last * 60), at + len(each)

    return Rule(find)


def numeral(digits: str) -> Rule:
    """Take a number in figures whose digits match this pattern."""
    pattern = re.compile(digits, re.ASCII)

    def find(words: Words, at: int) -> Step:
        if at < len(words) and pattern.fullmatch(words[at]):
            yield (int(words[at]),), at + 1

    return Rule(find)


def between(low: int, high: int) -> Callable[[int], int | None]:
    """Let a number pass only when it lies between these two, both included."""
    return lambda n: n if low <= n <= high else None


def total(*numbers: int) -> int:
    """Add what was understood: twenty, five."""
    return sum(numbers)


def always(n: int) -> Callable[..., int]:
    """Mean this number, whatever was understood."""
    return lambda *_: n


def day_past(hour: int, minute: int = 0) -> int:
    """Return minutes since midnight for a time on the 24-hour clock."""
    return hour * 60 + minute


def day_to(hour: int, minute: int) -> int:
    """Return minutes since midnight for a time before its hour on the 24-hour clock."""
    return (hour * 60 - minute) % DAY


def dial_past(hour: int, minute: int = 0) -> int:
    """Return minutes since twelve on the dial for a time after its hour."""
    return (hour * 60 + minute) % HALF_DAY


def dial_to(hour: int, minute: int) -> int:
    """Return minutes since twelve on the dial for a time before its hour."""
    return (hour * 60 - minute) % HALF_DAY


def flip(meaning: Callable[[int, int], int]) -> Callable[[int, int], int]:
    """Let the minutes come first, as in "five past four"."""
    return lambda minute, hour: meaning(hour, minute)


def in_part(minutes: int, first: int, last: int) -> int | None:
    """Return the minute of the day at which the dial shows ``minutes`` between ``first`` and ``last``.

    ``last`` may lie beyond midnight. No stretch is longer than half a day: there is one such minute at most.
    """
    for candidate in (minutes, minutes + HALF_DAY):
        if (candidate - first) % DAY < last - first:
            return candidate
    return None


def either_half(rule: Rule) -> Rule:
    """Read a dial time as before noon and as after noon."""
    return rule | (rule >> (lambda minutes: minutes + HALF_DAY))
