"""What is kept of a lesson while it runs: rounds, tallies, and the place to carry on from."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from caller.live.tally import RoundKey, Told, answered_round
from caller.record.model import Offered, RoundKept
from caller.record.writer import Beginning, Writer
from caller.runsheet.model import Call, RoundFacts, RunSheet
from caller.runsheet.serial import as_json


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
        self._writer = Writer(
            Beginning(
                class_name=run_sheet.class_name,
                title=run_sheet.title,
                began_s=clock() if began_s is None else began_s,
                planned_s=planned_s,
                stand_in=stand_in,
                run_sheet=as_json(run_sheet),
                branches=as_json(branches),
                number=number,
            ),
            path,
        )

    def hear(self, call: Call) -> None:
        """Keep that a call began, and its round once the answer is out."""
        self._writer.reached(call.number)
        key = answered_round(call)
        if key is not None and key in self._facts and key not in self._kept:
            self._keep(_round(self._facts[key], self._clock()), key)

    def facts(self, key: RoundKey) -> RoundFacts | None:
        """Return what a round is about."""
        return self._facts.get(key)

    def tell(self, told: Told) -> None:
        """Keep a tally, in the place of an earlier one of the same round."""
        kept = self._kept.get(told.round)
        if kept is not None:
            self._keep(replace(kept, tally=told.tally), told.round)

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
