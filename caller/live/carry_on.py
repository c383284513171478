"""After a power cut, a closed lid or a crash: the same lesson again, from the round that was cut off."""

from __future__ import annotations

import json
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from caller.errors import MachineError
from caller.record.model import Unfinished
from caller.record.store import Store, record_path
from caller.runsheet.model import Call, RunSheet
from caller.runsheet.serial import from_dict

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
    if not path.exists():
        return None
    try:
        with Store(path) as store:
            kept = store.unfinished(since_s=now_s - OFFERED_FOR_S)
    except MachineError:
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
