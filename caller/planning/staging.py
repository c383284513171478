"""A lesson put into its hall: what the room does to pace, pauses and wrong readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from caller.clock.wrong import MINUTE_MARK_DEG
from caller.hall.adapt import DEFAULT_DELIVERY, Delivery, delivery
from caller.hall.model import Hall
from caller.hall.reading import find_hall
from caller.hall.sightlines import smallest_difference_deg
from caller.lesson.model import Lesson
from caller.moves.pairs import Conditions
from caller.runsheet.model import RunSheet
from caller.runsheet.sequence import make_run_sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """Where a lesson happens, as far as its calls depend on it."""

    hall: Hall | None = None
    delivery: Delivery = DEFAULT_DELIVERY
    minimum_difference_deg: float = MINUTE_MARK_DEG

    def run_sheet(
        self,
        lesson: Lesson,
        *,
        conditions: Conditions | None = None,
        confused: Mapping[str, float] = MappingProxyType({}),
    ) -> RunSheet:
        """Return the run sheet of `lesson` here; the arguments and errors are `make_run_sheet`'s."""
        return make_run_sheet(
            lesson,
            delivery=self.delivery,
            conditions=conditions,
            confused=confused,
            minimum_difference_deg=self.minimum_difference_deg,
        )


def stage_of(hall: str, folder: Path) -> Stage:
    """Return the stage of a script in `folder` that names `hall`; the default one for an empty name.

    Raises
    ------
    NotFoundError
        If there is no such hall file and no ready-made hall of this name.
    ScriptProblems
        If the hall file cannot be used.
    """
    if not hall:
        return Stage()
    found = find_hall(hall, folder=folder)
    return Stage(
        hall=found,
        delivery=delivery(found),
        minimum_difference_deg=min(180.0, max(MINUTE_MARK_DEG, smallest_difference_deg(found))),
    )
