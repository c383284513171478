"""Legibility: whether the last row can read what the step asks for."""

from __future__ import annotations

from collections.abc import Iterator

from caller.clock.ladder import step
from caller.hall.sightlines import image_height_for_m, sight_lines
from caller.planning.checks.finding import Finding
from caller.planning.rehearsal import Rehearsal


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice where the dial is too small for the last row; nothing without a hall."""
    hall = rehearsal.stage.hall
    if hall is None:
        return
    seen = sight_lines(hall)
    distance = f"{seen.distance_m:.0f} m"
    needed_min = step(rehearsal.lesson.step).precision_min
    if seen.precision_minutes > needed_min:
        height_m = image_height_for_m(hall.screen.last_row_m, precision_minutes=needed_min)
        yield _advice(
            f"from {distance} a child tells {seen.precision_minutes} minutes apart, and this step "
            f"needs {needed_min}. Bring the last row nearer, or make the picture {height_m:.1f} m high."
        )
    elif not seen.numerals_readable:
        yield _advice(
            f"the numerals can be read to {seen.numerals_readable_to_m:.0f} m, and the last row is at "
            f"{distance}. Bring it nearer, or make the picture {seen.image_height_needed_m:.1f} m high."
        )


def _advice(text: str) -> Finding:
    return Finding(level="advice", check="legibility", text=text)
