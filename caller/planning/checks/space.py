"""Space: room for the moves round every child, and room in the hall for every child."""

from __future__ import annotations

from collections.abc import Iterator

from caller.planning.checks.finding import Finding
from caller.planning.checks.own_moves import objected
from caller.planning.rehearsal import Rehearsal


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield an error for moves wider than a child's floor, advice for a hall too small for the class."""
    for where, objection in objected(rehearsal, {"space"}):
        yield Finding(
            level="error",
            check="space",
            where=where,
            text=f"{objection.sentence} Choose another move, or give more space_m.",
        )
    hall, space_m = rehearsal.stage.hall, rehearsal.lesson.space_m
    if hall is None or rehearsal.lesson.seated:
        return
    floor_m2 = (hall.length_m - hall.screen.first_row_m) * hall.width_m
    needed_m2 = hall.people * space_m**2
    if needed_m2 > floor_m2:
        room_m = (floor_m2 / hall.people) ** 0.5
        text = (
            f"{hall.people} people with {space_m:g} m each need {needed_m2:.0f} m², and {hall.name} has "
            f"{floor_m2:.0f} m². Write space_m = {room_m - 0.05:.1f}, or let the class take turns."
        )
        yield Finding(level="advice", check="space", text=text)
