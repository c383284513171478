"""A lesson put into its hall, before its class: what they do to pace, pauses, wrong readings and opening."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from caller.clock.wrong import MINUTE_MARK_DEG
from caller.deciding.circumstances import Circumstances, conditions_of
from caller.deciding.lesson import decide
from caller.deciding.model import DecidedLesson
from caller.hall.adapt import DEFAULT_DELIVERY, Delivery, delivery
from caller.hall.hallfile import find_hall
from caller.hall.model import Hall
from caller.hall.sightlines import smallest_difference_deg
from caller.lesson.model import Lesson
from caller.moves.pairs import Conditions
from caller.record.recall import led_before
from caller.runsheet.model import RunSheet
from caller.runsheet.sequence import said


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
        given = Circumstances(
            conditions=conditions or conditions_of(lesson),
            confused=confused,
            minimum_difference_deg=self.minimum_difference_deg,
            led_before=self.led_before,
        )
        return decide(lesson, given)

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
