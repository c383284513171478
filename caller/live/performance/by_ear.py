"""Counting a class by its claps while the lesson is led: when to listen, and what was heard then.

Readings are looked at only in the windows in which a call has asked for claps, and once the call is over.
A call that is skipped or paused in the middle is not counted. What becomes of a count: it goes into the class
record; the class sees nothing of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from caller.deciding import Side
from caller.hall.clap_share import CountHeard, TwoSides, counted
from caller.hall.claps import (
    BEFORE,
    BLOCK_S,
    CLAP_S,
    CLAPS,
    LEAD,
    STRETCH,
    Clapped,
    NotCounted,
    clapped,
    fall_db,
    fault_of,
    quiet_of,
)
from caller.live.keeping import RoundKey
from caller.live.microphone.microphone import Ear
from caller.live.performance.conductor import Situation
from caller.record import USUAL_PRESENT
from caller.record.observed import SHARES
from caller.runsheet import Call, RoundFacts
from caller.runsheet.counting import FALLING_S, ClapWindow, windows
from caller.timeline import CallLayout, seconds_of

SURELY: Final = 0.95
"""So likely must it be that few had a round before it is taught again without anybody having asked."""

_GAINS: Final = 2  # refused so often for a gain that moves, a lesson asks no more
_QUIET_S: Final = 30.0  # of the lesson before the claps: some of it was quiet
_LATE_S: Final = 2.0  # readings come so much after the sound, at most
_CUT_SHORT_S: Final = 0.3  # of a call's end may be missing


@dataclass(frozen=True, slots=True)
class HeardRound:
    """What came of a round's claps: a count, or why there is none.

    `count` says how likely it is that 0, 1, … all children had it.
    """

    round: RoundKey
    count: tuple[float, ...] | None
    told: str

    @property
    def surely_few(self) -> bool:
        """Whether all but certainly few had it."""
        return self.count is not None and CountHeard(chances=self.count).between(*SHARES["few"]) >= SURELY


@dataclass(frozen=True, slots=True)
class _Listened:
    """A call for claps that is being heard, or was: when it began by the steady clock, and how far it
    came.
    """

    call: Call
    layout: CallLayout
    began_s: float
    reached_s: float

    @property
    def length_s(self) -> float:
        return seconds_of(self.layout.length)

    @property
    def ended_s(self) -> float:
        return self.began_s + self.length_s


class ByEar:
    """Listens to the calls for claps of one lesson.

    Parameters
    ----------
    rounds
        What each round is about.
    children
        How many are there.
    """

    def __init__(self, ear: Ear, rounds: Sequence[RoundFacts], *, children: int = USUAL_PRESENT) -> None:
        self._ear = ear
        self._answers: dict[RoundKey, Side] = {(each.round, each.part): each.answer for each in rounds}
        self._children = children
        self._whole: Clapped | None = None
        self._fall_db: float | None = None
        self._heard: list[TwoSides] = []
        self._now: _Listened | None = None
        self._gains = 0

    def leaves_out(self, call: Call) -> bool | None:
        """Tell whether a call is left out: nobody is asked for claps that nobody could count.

        None while it is not known whether there is a microphone.
        """
        if call.kind != "claps":
            return False
        if call.round is None:
            hears = self._ear.hears
            return None if hears is None else not hears
        return self._whole is None or self._gains >= _GAINS or not self._ear.hears

    def hear(self, situation: Situation, now_s: float) -> Iterator[HeardRound]:
        """Take note of what is heard; yield what came of a call for claps, once its echo is over.

        Parameters
        ----------
        now_s
            The steady clock.
        """
        now = self._now
        segment, call = situation.segment, situation.call
        if segment is not None and call.kind == "claps":
            into_s = seconds_of(situation.sample)
            if now is None or now.call is not call or into_s < now.reached_s:
                now = None  # another, or the same from its start
            began_s = now_s - into_s if now is None else now.began_s
            self._now = _Listened(call, segment.layout, began_s, into_s)
            return
        if now is None:
            return
        if now.reached_s < now.length_s - _CUT_SHORT_S:
            self._now = None
        elif self._ear.up_to_s >= now.ended_s or now_s >= now.ended_s + _LATE_S:
            self._now = None
            yield from self._count(now)

    def _count(self, over: _Listened) -> Iterator[HeardRound]:
        groups = {window.side: self._group(over, window) for window in windows(over.call)}
        if None in groups:
            yield HeardRound((0, over.call.part), None, self._take_whole(groups[None]))
            return
        key: RoundKey = (over.call.round or 0, over.call.part)
        answer = self._answers.get(key)
        if answer not in groups:
            return
        found = self._found(groups, answer)
        if isinstance(found, NotCounted):
            self._gains += found is NotCounted.GAIN
            yield HeardRound(key, None, found.value)
        else:
            yield HeardRound(key, found.chances, "counted")

    def _group(self, over: _Listened, window: ClapWindow) -> Clapped | NotCounted:
        beat_s = over.began_s + seconds_of(over.layout.spans[window.line].start)
        start_s = beat_s - (LEAD + BEFORE) * BLOCK_S
        quiet = self._ear.before(over.began_s, _QUIET_S)
        if not quiet:
            return NotCounted.MISSING
        background = quiet_of(quiet)
        if window.side is None:
            last_s = beat_s + CLAPS * CLAP_S
            self._fall_db = fall_db(self._ear.since(last_s, round(FALLING_S / BLOCK_S)), background)
        return clapped(self._ear.since(start_s, BEFORE + STRETCH), background, fall_db=self._fall_db)

    def _take_whole(self, heard: Clapped | NotCounted) -> str:
        self._heard.clear()
        fault = heard if isinstance(heard, NotCounted) else fault_of(heard)
        self._whole = None if isinstance(heard, NotCounted) or fault is not None else heard
        return "the whole class" if fault is None else fault.value

    def _found(
        self, groups: dict[Side | None, Clapped | NotCounted], answer: Side | None
    ) -> CountHeard | NotCounted:
        good: dict[Side | None, Clapped] = {}
        for side, heard in groups.items():
            if isinstance(heard, NotCounted):
                return heard
            good[side] = heard
        right = good.pop(answer)
        first, *more = good.values()
        others = sum(more, first)
        rounds = [*self._heard, TwoSides(side=right, others=others)]
        found = counted(self._whole, rounds, self._children, fall_db=self._fall_db)
        if found not in (NotCounted.SHOUT, NotCounted.DROWNED):
            self._heard = rounds
        return found
