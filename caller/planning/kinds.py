"""Which kinds of question a lesson mixes, by step and by how the class reads words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import cycle
from types import MappingProxyType
from typing import Final

from caller.clock.hands import arms_can_show
from caller.clock.ladder import step
from caller.planning.classfile import Reading
from caller.planning.clocks import Clock
from caller.questions import question_kind
from caller.questions.dial import READ
from caller.questions.kind import on_dial

# In a "find" round no words have to be read, and in "be the clock" nothing at all: the less a class reads,
# the more of them. Mixed kinds teach to tell problems apart (Rohrer & Taylor 2007, from memory).
_MIXES: Final[Mapping[Reading, tuple[str, ...]]] = MappingProxyType(
    {
        "none": ("read", "find", "be-the-clock", "find", "is-it-so", "read", "find"),
        "early": ("read", "find", "read", "is-it-so", "read", "be-the-clock", "find"),
        "fluent": ("read", "is-it-so", "read", "find", "read"),
    }
)


def with_kinds(clocks: Sequence[Clock], reading: Reading) -> list[Clock]:
    """Return the clocks with a kind of question each; the first and the last are read off the dial.

    A clock that brings its own kind keeps it.
    """
    mix = cycle(_MIXES[reading])
    asked = []
    for index, clock in enumerate(clocks):
        if clock.kind is None:
            kind = next(mix)
            while not _can_ask(kind, clock):
                kind = next(mix)
            if index in (0, len(clocks) - 1):
                kind = READ.code
            clock = replace(clock, kind=kind)
        asked.append(clock)
    return asked


def _can_ask(kind: str, clock: Clock) -> bool:
    asking = question_kind(kind)
    shown = asking.choices != "none" or arms_can_show(on_dial(clock.time))
    return shown and step(clock.step).precision_min >= asking.finest_min
