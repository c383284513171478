"""A lesson rehearsed: decided, put into its hall and timed, so that it can be looked over."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from caller.deciding.model import DecidedLesson
from caller.lesson.library import read_lesson
from caller.lesson.model import Lesson
from caller.moves.dose import Dose
from caller.planning.dosage import lesson_dose
from caller.planning.lengths import SpokenLengths, total_s
from caller.planning.staging import Stage, stage_of
from caller.runsheet.model import Line, RunSheet
from caller.timeline.layout import CallLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class Rehearsal:
    """What checks look at.

    Attributes
    ----------
    decided, run_sheet
        The lesson with every choice made, and the same in words.
    unspoken
        Lines that no voice of this computer could say.
    gentler, harder
        The dose of a child who always does the gentler, or the harder, of two moves.
    """

    lesson: Lesson
    stage: Stage
    decided: DecidedLesson
    run_sheet: RunSheet
    layouts: tuple[CallLayout, ...]
    unspoken: tuple[Line, ...]
    gentler: Dose
    harder: Dose

    @property
    def length_s(self) -> float:
        """How long the lesson lasts, in seconds."""
        return total_s(self.layouts)


def rehearse_file(path: Path, lengths: SpokenLengths) -> Rehearsal:
    """Return the lesson in a file, rehearsed in the hall that it names.

    Raises
    ------
    UserError
        If it cannot be used as it stands.
    """
    lesson = read_lesson(path)
    return rehearse(lesson, stage_of(lesson.hall, path.parent, lesson.class_name), lengths)


def rehearse(lesson: Lesson, stage: Stage, lengths: SpokenLengths) -> Rehearsal:
    """Return a lesson rehearsed; the errors are those of making its run sheet."""
    decided = stage.decided(lesson)
    run_sheet = stage.said(decided)
    layouts = lengths.layouts(run_sheet)
    return Rehearsal(
        lesson=lesson,
        stage=stage,
        decided=decided,
        run_sheet=run_sheet,
        layouts=layouts,
        unspoken=lengths.missing(run_sheet),
        gentler=lesson_dose(layouts, age_y=lesson.age),
        harder=lesson_dose(layouts, age_y=lesson.age, doing="harder"),
    )
