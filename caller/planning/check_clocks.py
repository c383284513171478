"""Checks of the clocks: readable at this step and from the last row, and wrong readings that are wrong."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from caller.clock import MINUTES_ON_DIAL, ClockTime, DayTime, smallest_difference_deg
from caller.clock.ladder import STEP_CODES, STEPS, Step, step, step_of
from caller.clock.mixups import wrong_readings
from caller.clock.said_and_shown import Manner
from caller.clock.wrong import rank, refused
from caller.deciding.circumstances import manners_of
from caller.hall import Hall
from caller.hall.sightlines import SightLines, image_height_for_m, sight_lines
from caller.lesson import Round
from caller.planning.staging import Finding, Rehearsal
from caller.questions import question_kind
from caller.questions.kind import Question
from caller.runsheet import Board

_SIXTEEN_BY_NINE: Final = (1920.0, 1080.0)


def check_precision(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield an error for every clock that is finer than the lesson's step."""
    lesson = rehearsal.lesson
    shown: list[tuple[str, ClockTime | DayTime | None]] = []
    if not lesson.worked_example.skip:
        shown.append(("worked example", lesson.worked_example.time))
    if not lesson.practice.skip:
        shown.append(("practice", lesson.practice.time))
    shown += [(f"round {number}", each.time) for number, each in enumerate(lesson.rounds, start=1)]
    for where, time in shown:
        dial = time.dial if isinstance(time, DayTime) else time
        if dial is not None and dial.minute not in readable_minutes(lesson.step):
            needed = step_of(dial)
            yield Finding(
                level="error",
                check="precision",
                where=where,
                text=f'{dial} needs the step "{needed.name.lower()}", and the class is at '
                f'"{step(lesson.step).name.lower()}". Choose another clock, or write step = "{needed.code}".',
            )


def readable_minutes(code: str) -> frozenset[int]:
    """Return the minutes that a class can read which has come as far as this step."""
    until = STEPS[: STEP_CODES.index(code) + 1]
    return frozenset(minute for each in until for minute in each.minutes)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Offer:
    """A right reading with the wrong ones beside it, and those of them that the script names itself."""

    where: str
    time: ClockTime
    wrong: tuple[ClockTime, ...]
    own: tuple[ClockTime | DayTime, ...] = ()


def check_readings(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield errors for wrong readings that are right too or cannot be seen, advice for those too easy."""
    lesson = rehearsal.lesson
    practice = lesson.practice
    if practice.time is not None and not practice.skip:
        offer = _Offer(where="practice", time=practice.time, wrong=practice.wrong, own=practice.wrong)
        yield from _on_dial(rehearsal, offer)
    for each, about in zip(lesson.rounds, rehearsal.decided.rounds, strict=True):
        question, where = about.question, f"round {about.number}"
        if question_kind(question.kind).read_off_dial:
            wrong = tuple(told.dial for told in question.told_wrong)
            yield from _on_dial(
                rehearsal, _Offer(where=where, time=question.dial, wrong=wrong, own=each.wrong)
            )
        else:
            yield from _own(rehearsal, each, where, question)


def _on_dial(rehearsal: Rehearsal, offer: _Offer) -> Iterator[Finding]:
    reading_step = step(rehearsal.lesson.step)
    least_deg = rehearsal.stage.minimum_difference_deg
    manners = _manners(rehearsal)
    ranked = {
        each.time: each
        for each in rank(offer.time, step=reading_step, manners=manners, minimum_difference_deg=least_deg)
    }
    reasons = {
        each.time: each.reason
        for each in refused(offer.time, step=reading_step, manners=manners, minimum_difference_deg=least_deg)
    }
    for wrong in offer.wrong:
        apart_deg = smallest_difference_deg(offer.time, wrong)
        if _as_near_as_read(offer.time, wrong, reading_step):
            text = f"{wrong} is {offer.time} as near as this step reads, so it is right too."
            yield _error(offer, f"{text} Choose another time.")
        elif apart_deg < least_deg:
            text = (
                f"from the last row {wrong} and {offer.time} look alike: the dials differ by {apart_deg:g}°, "
            )
            yield _error(offer, f"{text}and {least_deg:.1f}° can be told apart. Choose another time.")
        elif wrong in reasons:
            yield _advice(offer, f"{reasons[wrong]} A child would hardly choose it.")
        elif (
            wrong in offer.own
            and (wrong not in ranked or ranked[wrong].kind == "other time")
            # Where the time would be the slip for the wrong one, it is a fair partner too.
            and offer.time not in wrong_readings(wrong, manners)
        ):
            yield _advice(offer, _too_easy(wrong))


def _manners(rehearsal: Rehearsal) -> tuple[Manner, ...]:
    lesson = rehearsal.lesson
    return manners_of(lesson)


def _as_near_as_read(time: ClockTime, wrong: ClockTime, reading_step: Step) -> bool:
    """Tell whether a time that is too fine for the class lies as near to `wrong` as the class reads."""
    apart = (time.minutes - wrong.minutes) % MINUTES_ON_DIAL
    near = min(apart, MINUTES_ON_DIAL - apart) < reading_step.precision_min
    return near and time.minute not in readable_minutes(reading_step.code)


def _own(rehearsal: Rehearsal, each: Round, where: str, question: Question) -> Iterator[Finding]:
    """Yield advice for the script's own wrong answers that no documented mistake gives."""
    tempting = question_kind(question.kind).tempting
    for wrong in each.wrong:
        if not tempting(question, wrong, step(rehearsal.lesson.step)):
            yield _advice(_Offer(where=where, time=question.dial, wrong=()), _too_easy(wrong))


def _too_easy(wrong: ClockTime | DayTime) -> str:
    return f"{wrong} is too easy to rule out: no known mix-up gives it. Leave it out, and one is chosen."


def _error(offer: _Offer, text: str) -> Finding:
    return Finding(level="error", check="readings", where=offer.where, text=text)


def _advice(offer: _Offer, text: str) -> Finding:
    return Finding(level="advice", check="readings", where=offer.where, text=text)


def check_legibility(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice where the dial is too small for the last row; nothing without a hall."""
    hall = rehearsal.stage.hall
    if hall is None:
        return
    seen = sight_lines(hall)
    distance = f"{seen.distance_m:.0f} m"
    needed_min = step(rehearsal.lesson.step).precision_min
    if seen.precision_minutes > needed_min:
        height_m = image_height_for_m(hall.screen.last_row_m, precision_minutes=needed_min)
        yield _illegible(
            f"from {distance} a child tells {seen.precision_minutes} minutes apart, and this step "
            f"needs {needed_min}. Bring the last row nearer, or make the picture {height_m:.1f} m high."
        )
    elif not seen.numerals_readable:
        yield _illegible(
            f"the numerals can be read to {seen.numerals_readable_to_m:.0f} m, and the last row is at "
            f"{distance}. Bring it nearer, or make the picture {seen.image_height_needed_m:.1f} m high."
        )
    else:
        yield from _smaller_dials(rehearsal, hall, seen)


def _smaller_dials(rehearsal: Rehearsal, hall: Hall, seen: SightLines) -> Iterator[Finding]:
    """Yield advice on rounds whose dials are drawn smaller than one dial between two choices."""
    short: dict[int, float] = {}
    for call in rehearsal.run_sheet.calls:
        if call.kind == "decide" and call.round is not None:
            share = _least_radius(call.board) / hall.screen.dial_radius_per_image_height
            if (reach_m := seen.numerals_readable_to_m * share) < seen.distance_m:
                short[call.round] = reach_m
    if short:
        *others, last = map(str, short)
        yield Finding(
            level="advice",
            check="legibility",
            where=f"rounds {', '.join(others)} and {last}" if others else f"round {last}",
            text="the dials are drawn smaller here: their numerals can be read to "
            f"{min(short.values()):.0f} m, and the last row is at {seen.distance_m:.0f} m. Bring it nearer, "
            "or choose another kind of round.",
        )


def _least_radius(board: Board) -> float:
    """Return the radius of the smallest dial that is read on a board, as a share of the picture's height."""
    # Loads the drawing: a lesson in no hall, and the start of one, do without.
    from caller.screen.lanes import lane_row  # noqa: PLC0415
    from caller.screen.layout import places  # noqa: PLC0415

    placed = places(board, *_SIXTEEN_BY_NINE)
    rooms = [each.dial for each in lane_row(board.lanes, placed.lanes, placed.unit) if each.dial is not None]
    radii = [dial.radius for dial in placed.middle.dials]
    radii += [min(room.width, room.height) / 2 for room in rooms]
    return min(radii, default=math.inf) / _SIXTEEN_BY_NINE[1]


def _illegible(text: str) -> Finding:
    return Finding(level="advice", check="legibility", text=text)
