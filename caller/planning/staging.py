"""A lesson put into its hall before its class, and rehearsed: decided and timed, to be looked over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from caller.clock.wrong import MINUTE_MARK_DEG
from caller.deciding import DecidedLesson
from caller.deciding.again import siblings
from caller.deciding.circumstances import Circumstances, conditions_of
from caller.deciding.decide import decide
from caller.hall import Hall
from caller.hall.adapt import DEFAULT_DELIVERY, Delivery, delivery
from caller.hall.hallfile import find_hall
from caller.hall.sightlines import smallest_difference_deg
from caller.lesson import Lesson
from caller.lesson.library import read_lesson
from caller.moves.dose import Dose
from caller.moves.pairs import Conditions
from caller.planning.dosage import lesson_dose
from caller.planning.lengths import SpokenLengths, total_s
from caller.record.store import led_before
from caller.runsheet import Line, RunSheet
from caller.runsheet.sequence import SheetsToLead, said, said_to_lead
from caller.timeline import CallLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """Where a lesson happens and with whom, as far as its calls depend on it.

    Attributes
    ----------
    led_before
        The class knows how a lesson goes.
    """

    hall: Hall | None = None
    delivery: Delivery = DEFAULT_DELIVERY
    minimum_difference_deg: float = MINUTE_MARK_DEG
    led_before: bool = False

    def decided(
        self,
        lesson: Lesson,
        *,
        conditions: Conditions | None = None,
        confused: Mapping[str, float] = MappingProxyType({}),
    ) -> DecidedLesson:
        """Return `lesson` with every choice made for this hall; the errors are those of `decide`.

        Parameters
        ----------
        conditions
            What limits the moves; the lesson's own space, shoes and floor if left out.
        confused
            How much the class shows each mix-up, 0 to 1.
        """
        return decide(lesson, self._given(lesson, conditions, confused))

    def _given(
        self,
        lesson: Lesson,
        conditions: Conditions | None = None,
        confused: Mapping[str, float] = MappingProxyType({}),
    ) -> Circumstances:
        return Circumstances(
            conditions=conditions or conditions_of(lesson),
            confused=confused,
            minimum_difference_deg=self.minimum_difference_deg,
            led_before=self.led_before,
        )

    def said(self, decided: DecidedLesson) -> RunSheet:
        """Return the calls of a decided lesson, spoken as this hall needs."""
        return said(decided, delivery=self.delivery)

    def run_sheet(
        self,
        lesson: Lesson,
        *,
        conditions: Conditions | None = None,
        confused: Mapping[str, float] = MappingProxyType({}),
    ) -> RunSheet:
        """Return the run sheet of `lesson` here; the arguments and errors are those of `decided`."""
        return self.said(self.decided(lesson, conditions=conditions, confused=confused))

    def to_lead(self, lesson: Lesson) -> SheetsToLead:
        """Return the run sheets of `lesson` here and of what is led beside it; errors as of `decided`."""
        given = self._given(lesson)
        decided = decide(lesson, given)
        again = siblings(lesson, decided, given)
        return said_to_lead(decided, again, delivery=self.delivery)


def stage_of(hall: str, folder: Path, class_name: str = "") -> Stage:
    """Return the stage of a script in `folder` that names `hall`; the default hall for an empty name.

    The record tells whether the class has been led before; a script for any class is for a new one.

    Raises
    ------
    NotFoundError
        If there is no such hall file and no ready-made hall of this name.
    ScriptProblems
        If the hall file cannot be used.
    """
    known = led_before(class_name)
    if not hall:
        return Stage(led_before=known)
    found = find_hall(hall, folder=folder)
    return Stage(
        hall=found,
        delivery=delivery(found),
        minimum_difference_deg=min(180.0, max(MINUTE_MARK_DEG, smallest_difference_deg(found))),
        led_before=known,
    )


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


Level = Literal["error", "advice"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that a check has found.

    Attributes
    ----------
    check
        Which check, by its function's name after `check_`.
    where
        "round 3", "warm-up"; empty for the lesson as a whole.
    text
        What, and how to mend it.
    """

    level: Level
    check: str
    where: str = ""
    text: str

    def sentence(self) -> str:
        """Return the finding as a teacher reads it."""
        return f"{self.where}: {self.text}" if self.where else self.text
