"""Leading one run sheet in a room; and what is led, and how."""

from __future__ import annotations

from dataclasses import dataclass

from caller.lesson import Lesson
from caller.live.keeping import CutOff, LessonRecord
from caller.runsheet import RunSheet
from caller.runsheet.sequence import SheetsToLead


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanToLead:
    """What is led, and how.

    Attributes
    ----------
    branches
        The calls prepared for teaching rounds again.
    record
        Where rounds and tallies are kept.
    first
        The place in the run sheet's calls to begin at.
    confirm_stop
        Whether stopping asks first.
    waits
        Whether it is said again and again until somebody goes on: the screen then has buttons.
    soon
        What will follow: its words are spoken in the background meanwhile.
    """

    run_sheet: RunSheet
    branches: RunSheet | None = None
    record: LessonRecord | None = None
    first: int = 0
    confirm_stop: bool = True
    waits: bool = False
    soon: RunSheet | None = None


def first_call(run_sheet: RunSheet, first_round: int | None) -> int:
    """Return the place of the first call of round `first_round`, or 0 for the whole lesson."""
    if first_round is None:
        return 0
    return next((i for i, call in enumerate(run_sheet.calls) if call.round == first_round), 0)


def plan_of(
    lesson: Lesson, sheets: SheetsToLead, *, first_round: int | None = None, standing_in: bool = False
) -> PlanToLead:
    """Return how a lesson is led; from now on it stands in the record."""
    planned_s = 60.0 * lesson.minutes if lesson.minutes else None
    record = LessonRecord(sheets.lesson, sheets.again, planned_s=planned_s, stand_in=standing_in)
    first = first_call(sheets.lesson, first_round)
    return PlanToLead(run_sheet=sheets.lesson, branches=sheets.again, record=record, first=first)


def plan_to_carry_on(cut: CutOff) -> PlanToLead:
    """Return how to carry on with a lesson that was cut off."""
    record = LessonRecord(
        cut.run_sheet,
        cut.branches,
        number=cut.kept.number,
        began_s=cut.kept.began_s,
        stand_in=cut.kept.stand_in,
    )
    return PlanToLead(run_sheet=cut.run_sheet, branches=cut.branches, record=record, first=cut.first)
