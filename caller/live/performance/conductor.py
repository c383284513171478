"""The conductor: which call is heard next, what a key does to that, and a round taught again put in.

It keeps the player a few calls ahead. Words that are not spoken yet are waited for in a thread of
their own: the picture goes on, and the call comes when it is ready.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future, wait
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

from caller.live.background import Background, give_back_freed
from caller.live.keeping import RoundKey
from caller.live.loudspeaker.player import Cued, Player
from caller.live.microphone.microphone import QuietGate
from caller.live.words import said
from caller.runsheet import ASKING, Call, RunSheet
from caller.runsheet.making_room import first_that_fits
from caller.screen.keytable import Action
from caller.timeline import seconds_of
from caller.timeline.segment import Segment, Timeline

AHEAD: Final = 3  # segments playing or queued: bridges any pause of the window's own loop
MORE_TIME_S: Final = 10
VOLUME_STEP_DB: Final = 3.0
LOUDEST_DB: Final = 0.0  # the mix already reaches its true-peak ceiling there
SOFTEST_DB: Final = -30.0
_WORKER: Final = "segments"


@dataclass(frozen=True, slots=True)
class Situation:
    """Where the lesson is, as heard."""

    call: Call
    segment: Segment | None  # None while its words are still being made
    sample: int  # within the call
    paused: bool
    finished: bool


class Conductor:
    """Leads a timeline through a player. All methods may be called from any thread."""

    def __init__(self, timeline: Timeline, player: Player, background: Background, *, first: int = 0) -> None:
        self._timeline = timeline
        self._player = player
        self._calls = list(timeline.run_sheet.calls)
        self._lock = threading.RLock()
        self._background = background
        self._making: tuple[int, Future[Segment]] | None = None
        self._next = first  # the next call to be handed to the player
        self._heard_index = first
        self._paused = False
        self._finished = False
        player.stop()  # what an earlier lesson may have left
        self._since = player.written  # what was played before this stream sample no longer counts
        self._let_through = first  # the last call that the gate need not hold, or holds no longer
        self.gate: QuietGate | None = None
        # What is not called, as things are; None where that is not known yet.
        self.left_out: Callable[[Call], bool | None] = lambda _call: False
        self.cut: Callable[[], None] = player.stop  # the speaker, once there is one, does it faster

    @property
    def calls(self) -> tuple[Call, ...]:
        """The calls as they now stand."""
        with self._lock:
            return tuple(self._calls)

    def step(self) -> None:
        """Keep the player supplied; call it often."""
        with self._lock:
            if self._paused or self._finished:
                return
            if self._making is not None and self._making[1].done():
                index, future = self._making
                if index == self._next and self._held(index):
                    return
                self._making = None
                if index == self._next:
                    self._next += 1
                    if future.exception() is None:  # told already; a call that cannot be made is left out
                        self._player.enqueue(Cued(index, future.result()))
                    self._background.submit(_WORKER, give_back_freed)  # mixing took much for a moment
            if self._making is None and self._may_make_next() and self._player.waiting() < AHEAD:
                making = partial(self._timeline.segment, self._calls[self._next])
                self._making = (self._next, self._background.submit(_WORKER, making))

    def await_next(self, within_s: float) -> None:
        """Give the player the call that is being made, waiting for it so long at most."""
        if self._making is not None:
            wait([self._making[1]], within_s)
            self.step()

    @property
    def place(self) -> int:
        """The place among the calls that is heard now."""
        with self._lock:
            return self._heard_index

    @property
    def volume(self) -> tuple[int, int]:
        """The step that the volume stands on, and how many there are."""
        steps = round((LOUDEST_DB - SOFTEST_DB) / VOLUME_STEP_DB) + 1
        return 1 + round((self._player.volume_db - SOFTEST_DB) / VOLUME_STEP_DB), steps

    @property
    def waiting_for_quiet(self) -> bool:
        """Whether the next call is held until the hall is quiet."""
        return self.gate is not None and self.gate.holding

    def situation(self, stream_sample: int) -> Situation:
        """Return where the lesson is when `stream_sample` of the player's stream is heard."""
        with self._lock:
            if (playing := self.playing(stream_sample)) is not None:
                cued, sample = playing
                self._heard_index = cued.index
                return Situation(self._calls[cued.index], cued.segment, sample, False, False)
            if not self._paused and self._next >= len(self._calls) and not self._player.waiting():
                self._finished = True
            return Situation(self._calls[self._heard_index], None, 0, self._paused, self._finished)

    def playing(self, stream_sample: int) -> tuple[Cued, int] | None:
        """Return what is heard at a sample of the player's stream, maybe a coming one, and the sample of it;
        None where nothing is, or it is not known yet.
        """
        with self._lock:
            mark = self._player.at(stream_sample)
            if mark.cued is None or stream_sample < self._since:
                return None
            return mark.cued, mark.offset

    def act(self, action: Action) -> None:
        """Do what the teacher asked for, as far as it concerns the order and sound of calls."""
        with self._lock:
            here = self._heard_index
            match action:
                case Action.PAUSE:
                    self.go_on() if self._paused else self.pause()
                case Action.REPEAT:
                    self._jump(self._start_of_question(here))
                case Action.NEXT:
                    self._jump(here + 1)
                case Action.BACK:
                    self._jump(max(here - 1, 0))
                case Action.NEXT_PART:
                    self._next_part(here)
                case Action.MORE_TIME:
                    self._more_time(here)
                case Action.LOUDER:
                    self._change_volume(VOLUME_STEP_DB)
                case Action.SOFTER:
                    self._change_volume(-VOLUME_STEP_DB)
                case _:
                    pass  # the window's own affair

    def pause(self) -> None:
        """Fall silent now. The call being heard will be said again from its start."""
        with self._lock:
            if not self._paused:
                self._paused = True
                if self.gate is not None:
                    self.gate.give_way()
                self._next = self._heard_index
                self._forget_supplies()

    def go_on(self) -> None:
        """Go on from the start of the call that was paused."""
        with self._lock:
            self._paused = False
            self.step()

    def put(self, after: int, calls: Sequence[Call]) -> None:
        """Let `calls` come after the call at place `after`, instead of all that was to come.

        What is being heard goes on to its end; where the lesson is past `after` already, it is cut short.
        """
        with self._lock:
            self._calls[after + 1 :] = calls
            if self._heard_index > after:
                self._jump(after + 1)
                return
            self._making = None
            if self._next > after + 1:
                self._next = after + 1
                kept = Cued(after, self._timeline.segment(self._calls[after]))
                if self._player.replace_from(kept) != after:  # it has just been written to its end
                    self._jump(after + 1)

    def _held(self, index: int) -> bool:
        """After a catch-up, hold the next call, already made, until that was heard and the hall is quiet."""
        if self.gate is None or index in (0, self._let_through):
            return False
        if self._calls[index - 1].kind != "catch-up" or self._calls[index].kind == "catch-up":
            return False
        if self._player.waiting() or not self.gate.lets_through():
            return True
        self._let_through = index
        return False

    def _may_make_next(self) -> bool:
        """Go past the calls that are left out; tell whether there is one to make."""
        while self._next < len(self._calls):
            left_out = self.left_out(self._calls[self._next])
            if not left_out:
                return left_out is not None
            self._next += 1
        return False

    def _jump(self, index: int) -> None:
        if self.gate is not None:
            self.gate.give_way()
        self._let_through = index
        self._next = min(index, len(self._calls))
        self._heard_index = min(index, len(self._calls) - 1)
        self._paused = False
        self._forget_supplies()
        self.step()

    def _forget_supplies(self) -> None:
        self._making = None
        self.cut()
        self._since = self._player.written

    def _start_of_question(self, here: int) -> int:
        call = self._calls[here]
        if call.kind in ASKING:
            while (
                here > 0
                and self._calls[here - 1].round == call.round
                and self._calls[here].kind != "question"
            ):
                here -= 1
        return here

    def _next_part(self, here: int) -> None:
        """Go to the next part, if there is one; the warm-up is a part of its own, so that none skips it."""
        parts = [(call.part, call.round, call.kind == "warm-up") for call in self._calls]
        begins = next((i for i in range(here, len(parts)) if parts[i] != parts[here]), None)
        if begins is not None:
            self._jump(begins)

    def _more_time(self, here: int) -> None:
        """Lengthen the think time that is running, or the next one of this lesson."""
        index = next((i for i in range(here, len(self._calls)) if self._calls[i].countdown), None)
        if index is None:
            return
        call = self._calls[index]
        if call.countdown is None:  # for the type checker: chosen above for having one
            return
        longer = replace(
            call, countdown=replace(call.countdown, seconds=call.countdown.seconds + MORE_TIME_S)
        )
        self._calls[index] = longer
        self._making = None
        last = self._player.replace_from(Cued(index, self._timeline.segment(longer)))
        if last >= 0:
            self._next = last + 1

    def _change_volume(self, by_db: float) -> None:
        self._player.set_volume(min(max(self._player.volume_db + by_db, SOFTEST_DB), LOUDEST_DB))


_TEACHING: Final = "teach again"
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
        As `caller.runsheet.sequence.said_to_lead` gives them.
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
            self._background.submit(_TEACHING, lambda: told(self._put(key, branches)))

    def take_back(self, key: RoundKey) -> None:
        """Leave out again what was put in for the round `key`, unless it has begun."""
        self._background.submit(_TEACHING, lambda: self._take_out(key))

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
