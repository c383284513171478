"""Teaching a round again while the lesson runs: the prepared calls put in, and what follows made shorter."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from caller.live.background import Background
from caller.live.keeping import RoundKey
from caller.live.performance.conductor import Conductor
from caller.live.words import said
from caller.runsheet.making_room import first_that_fits
from caller.runsheet.model import Call, RunSheet
from caller.timeline.layout import seconds_of
from caller.timeline.segment import Timeline

_WORKER: Final = "teach again"
_HEARD_OUT: Final = frozenset({"time-up", "answer"})
"""The answer is always told before the reason is told again."""


@dataclass(frozen=True, slots=True)
class _PutIn:
    """What took the place of what: the calls after place `after` before it was put in."""

    after: int
    instead_of: tuple[Call, ...]


class TeachAgain:
    """Holds the calls prepared for every round, and puts those of one round into the lesson when asked.

    Parameters
    ----------
    branches
        As `caller.runsheet.reteach.teaching_again` gives them.
    changed
        Called with the lesson's calls as they then stand.
    """

    def __init__(
        self,
        branches: RunSheet,
        timeline: Timeline,
        conductor: Conductor,
        background: Background,
        changed: Callable[[tuple[Call, ...]], None],
    ) -> None:
        self._branches = branches
        self._timeline = timeline
        self._conductor = conductor
        self._background = background
        self._changed = changed
        self._put_in: dict[RoundKey, _PutIn] = {}

    def prepare(self) -> None:
        """Have the words of all branches spoken in the background."""
        self._timeline.speak_ahead(self._branches.calls)

    def ask(self, key: RoundKey, told: Callable[[str], None]) -> None:
        """Teach the round `key` again, next; `told` is given what becomes of it.

        Lengths are looked up beside the lesson, so that no picture waits for them.
        """
        branches = self._ways(key)
        if key[1] == "reteach" or not branches:
            told(said("count.nothing-prepared"))
        elif key in self._put_in or self._is_in(key):
            told(said("count.taught-already"))
        else:
            self._background.submit(_WORKER, lambda: told(self._put(key, branches)))

    def take_back(self, key: RoundKey) -> None:
        """Leave out again what was put in for the round `key`, unless it has begun."""
        self._background.submit(_WORKER, lambda: self._take_out(key))

    def _ways(self, key: RoundKey) -> list[Sequence[Call]]:
        """Return the whole branch of a round, and the slow reading alone for where there is little time."""
        calls = [call for call in self._branches.calls if call.round == key[0]]
        return [calls, calls[:1]] if len(calls) > 1 else [calls] if calls else []

    def _is_in(self, key: RoundKey) -> bool:
        """Tell whether it was put in before the lesson was cut off, and carried on with."""
        return any((call.round, call.part) == (key[0], "reteach") for call in self._conductor.calls)

    def _put(self, key: RoundKey, branches: list[Sequence[Call]]) -> str:
        calls = self._conductor.calls
        own = [place for place, call in enumerate(calls) if (call.round, call.part) == key]
        here = self._conductor.place
        answer = max((place for place in own if calls[place].kind in _HEARD_OUT), default=own[-1])
        # From the answer on, what is left of the round makes way: it is taught again now.
        after = max(answer, here) if here <= own[-1] else own[-1]
        skipped_s = sum(self._length_s(calls[place]) for place in own if place > after)
        rest = first_that_fits(branches, calls[own[-1] + 1 :], self._length_s, saved_s=skipped_s)
        if rest is None:
            return said("count.no-time-left")
        self._put_in[key] = _PutIn(after, calls[after + 1 :])
        self._conductor.put(after, rest)
        self._changed(self._conductor.calls)
        return said("count.taught-next")

    def _take_out(self, key: RoundKey) -> None:
        put_in = self._put_in.get(key)
        if put_in is None or self._conductor.place > put_in.after:
            return
        del self._put_in[key]
        self._conductor.put(put_in.after, put_in.instead_of)
        self._changed(self._conductor.calls)

    def _length_s(self, call: Call) -> float:
        return seconds_of(self._timeline.length(call))
