"""What a lesson is led with: its branches for teaching again, its place in the record, the teacher's keys."""

from __future__ import annotations

from dataclasses import replace

from caller.lesson.model import Lesson
from caller.live.carry_on import CutOff
from caller.live.session import Options
from caller.live.tally_record import LessonRecord
from caller.planning.staging import Stage
from caller.runsheet.model import RunSheet
from caller.runsheet.reteach import teaching_again


def for_lesson(
    lesson: Lesson, stage: Stage, run_sheet: RunSheet, options: Options, *, stand_in: bool = False
) -> Options:
    """Return the options to run a lesson with where it happens; from now on it stands in the record."""
    branches = teaching_again(
        lesson,
        run_sheet,
        delivery=stage.delivery,
        minimum_difference_deg=stage.minimum_difference_deg,
    )
    planned_s = 60.0 * lesson.minutes if lesson.minutes else None
    record = LessonRecord(run_sheet, branches, planned_s=planned_s, stand_in=stand_in)
    return replace(options, branches=branches, record=record)


def for_carrying_on(cut: CutOff, options: Options) -> Options:
    """Return the options to carry on with a lesson that was cut off."""
    record = LessonRecord(
        cut.run_sheet,
        cut.branches,
        number=cut.kept.number,
        began_s=cut.kept.began_s,
        stand_in=cut.kept.stand_in,
    )
    return replace(options, branches=cut.branches, record=record, first_call=cut.first, first_round=None)
