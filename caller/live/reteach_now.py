"""Teaching a round again while the lesson runs: the prepared calls put in, and what follows made shorter."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor

from caller.live.conductor import Conductor
from caller.live.tally import RoundKey
from caller.runsheet.making_room import first_that_fits
from caller.runsheet.model import Call, RunSheet
from caller.timeline.layout import seconds_of
from caller.timeline.segment import Timeline


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
        changed: Callable[[tuple[Call, ...]], None],
    ) -> None:
        self._branches = branches
        self._timeline = timeline
        self._conductor = conductor
        self._changed = changed
        self._done: set[RoundKey] = set()
        self._lock = threading.Lock()
        # Lengths are looked up beside the lesson, so that no picture waits for them.
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="teach again")

    def prepare(self) -> None:
        """Have the words of all branches spoken in the background."""
        self._timeline.speak_ahead(self._branches.calls)

    def ask(self, key: RoundKey) -> bool:
        """Teach the round `key` again once it is over; return whether there is anything prepared for it."""
        branches = self._ways(key)
        with self._lock:
            if key[1] == "reteach" or key in self._done or not branches:
                return False
            self._done.add(key)
        self._worker.submit(self._put, key, branches)
        return True

    def close(self) -> None:
        """Stop; what is being prepared is let go."""
        self._worker.shutdown(wait=False, cancel_futures=True)

    def _ways(self, key: RoundKey) -> list[Sequence[Call]]:
        """Return the whole branch of a round, and the slow reading alone for where there is little time."""
        calls = [call for call in self._branches.calls if call.round == key[0]]
        return [calls, calls[:1]] if len(calls) > 1 else [calls] if calls else []

    def _put(self, key: RoundKey, branches: list[Sequence[Call]]) -> None:
        calls = self._conductor.calls
        if any((call.round, call.part) == (key[0], "reteach") for call in calls):
            return  # put in before the lesson was cut off, and carried on with
        last = max(place for place, call in enumerate(calls) if (call.round, call.part) == key)
        rest = first_that_fits(branches, calls[last + 1 :], self._length_s)
        if rest is not None:
            self._conductor.put(last, rest)
            self._changed(self._conductor.calls)

    def _length_s(self, call: Call) -> float:
        return seconds_of(self._timeline.length(call))
