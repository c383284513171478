"""What is kept of a lesson while it runs: counts after an answer, rounds, and the place to carry on from.

One key after an answer tells how many had it. None is ever needed, and none is a score on the screen. After a
power cut, a closed lid or a crash the same lesson comes again, from the round that was cut off.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from caller.deciding import LessonPart
from caller.errors import CallerError, MachineError
from caller.file_reading import is_file
from caller.live.words import said
from caller.record import USUAL_PRESENT, Judgement, Offered, RoundKept, Tally, Unfinished
from caller.record.files import record_path
from caller.record.observed import known_share, right_share
from caller.record.store import Store
from caller.record.writer import Beginning, RecordWriter
from caller.runsheet import Call, CallKind, RoundFacts, RunSheet
from caller.runsheet.forms import as_json, from_dict
from caller.screen.keytable import TALLIES, Action

NOTED_S: Final = 2.0
JOIN_S: Final = 1.5
"""Two digits pressed within this time are one number."""

_MOST_MISSED: Final = 40

# The children have decided when time is up: then a teacher can count. A window that was held up may never
# meet that call, but what comes after it.
_ANSWERED: Final[frozenset[CallKind]] = frozenset({"answer", "reason", "catch-up", "breath"})
_DECIDED: Final[frozenset[CallKind]] = _ANSWERED | {"time-up", "claps"}
_PRACTICE: Final[LessonPart] = "practice"
_JUDGEMENTS: Final[dict[Action, Judgement]] = {
    Action.MOST: "most",
    Action.HALF: "half",
    Action.FEW: "few",
}

RoundKey = tuple[int, LessonPart]


def answered_round(call: Call) -> RoundKey | None:
    """Return the round whose answer is out once `call` is heard; None before that, and outside rounds."""
    return decided_round(call) if call.kind in _ANSWERED else None


def decided_round(call: Call) -> RoundKey | None:
    """Return the round in which the children have decided once `call` is heard; the practice clock is 0."""
    number = 0 if call.part == _PRACTICE else call.round
    if number is None or call.kind not in _DECIDED:
        return None
    # What is taught again begins with a reason, before its own clock is asked for.
    if call.part == "reteach" and call.kind == "reason" and not call.board.answer:
        return None
    return number, call.part


def is_practice(key: RoundKey) -> bool:
    """Tell whether a round is the practice clock, which the record does not keep."""
    return key[1] == _PRACTICE


@dataclass(frozen=True, slots=True)
class TallyTold:
    """A tally, and the round that it is about."""

    round: RoundKey
    tally: Tally


class TallyTaker:
    """Knows which round a tally would be about, and makes tallies of key presses."""

    def __init__(self) -> None:
        self._about: RoundKey | None = None
        self._digits = ""
        self._digits_s = float("-inf")
        self._told: list[RoundKey] = []

    @property
    def about(self) -> RoundKey | None:
        """The round that a tally would be about now, if any."""
        return self._about

    def hear(self, call: Call) -> None:
        """Take note of the call being heard."""
        key = decided_round(call)
        if key is None:
            # A teacher who looks round the hall is late: a tally counts until the next question.
            if call.kind != "ready":
                self._about = None
        elif key != self._about:
            self._about, self._digits = key, ""

    def press(self, action: Action) -> TallyTold | None:
        """Return what a tally key tells; None where there is nothing to tell of."""
        if action not in TALLIES or self._about is None:
            return None
        return self._tell(Tally(judgement=_JUDGEMENTS[action]))

    def digit(self, digit: int, now_s: float) -> TallyTold | None:
        """Return what a digit tells: so many missed it; a second one soon after makes a larger number."""
        if self._about is None:
            return None
        joined = self._digits + str(digit) if now_s - self._digits_s <= JOIN_S else ""
        self._digits = joined if joined and int(joined) <= _MOST_MISSED else str(digit)
        self._digits_s = now_s
        return self._tell(Tally(missed=int(self._digits)))

    def take_back(self) -> RoundKey | None:
        """Return the round whose tally is taken back, the last one told; None where there is none."""
        self._digits = ""
        return self._told.pop() if self._told else None

    def _tell(self, tally: Tally) -> TallyTold | None:
        if self._about is None:
            return None
        if self._about in self._told:
            self._told.remove(self._about)
        self._told.append(self._about)
        return TallyTold(self._about, tally)


def few_had_it(tally: Tally, facts: RoundFacts, present: int = USUAL_PRESENT) -> bool:
    """Tell whether a round is worth teaching again at once: few had it, or no more than by guessing."""
    if tally.judgement is not None:
        return tally.judgement == "few"
    low, high = right_share(tally, present)
    return known_share((low + high) / 2, 1.0 / (1 + max(len(facts.wrong), 1))) == 0.0


def noted(tally: Tally) -> str:
    """Return what the screen answers: the same for every judgement; a typed number is shown to its typer."""
    return said("count.noted") if tally.missed is None else f"{said('count.noted')} {tally.missed}"


class LessonRecord:
    """Keeps one lesson of a class. Nothing here waits for the disk, and nothing here fails.

    Parameters
    ----------
    run_sheet, branches
        The lesson, and the calls prepared for teaching again.
    number
        The lesson's number in the record, where it is carried on.
    """

    def __init__(
        self,
        run_sheet: RunSheet,
        branches: RunSheet,
        *,
        planned_s: float | None = None,
        stand_in: bool = False,
        number: int | None = None,
        began_s: float | None = None,
        path: Path | None = None,
        clock: Callable[[], float] = time.time,
    ) -> None:
        self._clock = clock
        self._run_sheet = run_sheet
        self._facts = facts_by_round(run_sheet, branches)
        self._kept: dict[RoundKey, RoundKept] = {}
        self._early: dict[RoundKey, Tally] = {}
        self._heard_early: dict[RoundKey, tuple[float, ...]] = {}
        self._writer = RecordWriter(
            Beginning(
                class_name=run_sheet.class_name,
                title=run_sheet.title,
                began_s=clock() if began_s is None else began_s,
                planned_s=planned_s,
                stand_in=stand_in,
                run_sheet=as_json(run_sheet),
                branches=as_json(branches),
                number=number,
                language=run_sheet.language,
            ),
            path,
        )

    def hear(self, call: Call) -> None:
        """Keep that a call began, and its round once the answer is out."""
        self._writer.reached(call.number)
        key = answered_round(call)
        if key is not None and key in self._facts and key not in self._kept:
            kept = _round(self._facts[key], self._clock())
            self._keep(replace(kept, tally=self._early.get(key), heard=self._heard_early.get(key)), key)

    def facts(self, key: RoundKey) -> RoundFacts | None:
        """Return what a round is about."""
        return self._facts.get(key)

    def tell(self, told: TallyTold) -> None:
        """Keep a tally, in the place of an earlier one of the same round."""
        kept = self._kept.get(told.round)
        if kept is not None:
            self._keep(replace(kept, tally=told.tally), told.round)
        else:
            self._early[told.round] = told.tally  # counted before the answer was out

    def hear_count(self, key: RoundKey, chances: tuple[float, ...]) -> bool:
        """Keep what was counted by ear; return whether it counts: a teacher's own tally is worth more."""
        kept = self._kept.get(key)
        if kept is None:
            self._heard_early[key] = chances
            return self._early.get(key) is None
        self._keep(replace(kept, heard=chances), key)
        return kept.tally is None

    def untell(self, key: RoundKey) -> None:
        """Keep no tally of a round any more."""
        kept = self._kept.get(key)
        if kept is not None:
            self._keep(replace(kept, tally=None), key)
        self._early.pop(key, None)

    def change(self, calls: tuple[Call, ...]) -> None:
        """Keep the calls as they now stand."""
        self._writer.changed(as_json(replace(self._run_sheet, calls=calls)))

    def notice(self) -> str:
        """Return what the teacher has to know of the record, each thing once."""
        return self._writer.notice()

    def end(self, ending: str) -> bool:
        """Keep that the lesson is over; return whether everything is kept."""
        self._writer.end(self._clock(), ending)
        return self._writer.close()

    def leave_open(self) -> None:
        """Stop keeping without an end, after an error: the lesson can be carried on."""
        self._writer.close()

    def _keep(self, kept: RoundKept, key: RoundKey) -> None:
        self._kept[key] = kept
        self._writer.keep(kept)


def facts_by_round(*run_sheets: RunSheet) -> Mapping[RoundKey, RoundFacts]:
    """Return what each round is about, those that are taught again included."""
    return {(facts.round, facts.part): facts for sheet in run_sheets for facts in sheet.rounds}


def _round(facts: RoundFacts, at_s: float) -> RoundKept:
    return RoundKept(
        number=facts.round,
        part=facts.part,
        at_s=at_s,
        question=facts.question,
        step=facts.step,
        time=facts.time,
        answer=facts.answer,
        wrong=tuple(
            Offered(time=wrong, mixups=mixups)
            for wrong, mixups in zip(facts.wrong, facts.mixups, strict=True)
        ),
    )


OFFERED_FOR_S: Final = 12 * 3600.0
"""A lesson that began longer ago is not offered: it is another day's."""

GIVEN_UP: Final = "not carried on"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutOff:
    """A lesson that was cut off, ready to be carried on."""

    kept: Unfinished
    run_sheet: RunSheet
    branches: RunSheet
    first: int  # the place in the run sheet's calls to begin at

    @property
    def round(self) -> int | None:
        """The round it carries on with; None before the first and after the last."""
        return self.run_sheet.calls[self.first].round


def cut_off(path: Path | None = None, *, now_s: float | None = None) -> CutOff | None:
    """Return today's lesson that was cut off, if there is one that can be read."""
    now_s = time.time() if now_s is None else now_s
    path = record_path() if path is None else path
    try:
        if not is_file(path):
            return None
        with Store(path) as store:
            kept = store.unfinished(since_s=now_s - OFFERED_FOR_S)
    except CallerError:
        return None  # the next lesson's own writing meets it, and says so
    if kept is None:
        return None
    try:
        run_sheet, branches = (from_dict(json.loads(text)) for text in (kept.run_sheet, kept.branches))
    except (ValueError, RecursionError):
        return None  # written by another version of the program, or damaged
    return CutOff(
        kept=kept, run_sheet=run_sheet, branches=branches, first=place_to_begin(run_sheet.calls, kept.call)
    )


def give_up(number: int, path: Path | None = None, *, now_s: float | None = None) -> None:
    """Keep that a lesson is not to be carried on."""
    try:
        with Store(path) as store:
            store.end(number, time.time() if now_s is None else now_s, GIVEN_UP)
    except MachineError:
        return  # it will be offered again, which does no harm


def place_to_begin(calls: Sequence[Call], number: int) -> int:
    """Return the place of the start of the round in which call `number` is; elsewhere of that call itself."""
    place = next((place for place, call in enumerate(calls) if call.number == number), 0)
    here = calls[place]
    if here.part in ("opening", "close"):
        return place
    while place > 0 and (calls[place - 1].part, calls[place - 1].round) == (here.part, here.round):
        place -= 1
    return place
