"""`hall-caller show LESSON`: the run sheet; or one of its calls, played or as a picture."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace as with_only
from itertools import accumulate
from pathlib import Path
from typing import Any

from caller.cli.for_teachers import about_lesson
from caller.cli.printing import as_json
from caller.cli.targets import add_replace, check_picture, write_picture
from caller.errors import UserError
from caller.hall import Hall
from caller.lesson.library import find_lesson, read_lesson
from caller.moves.dose import GUIDELINE, Dose, dose
from caller.planning.dosage import BEYOND_SHARE, DONE_SHARE, Activity, activity_of, spells
from caller.planning.lengths import spoken_lengths
from caller.planning.staging import stage_of
from caller.runsheet import Call, RunSheet
from caller.runsheet.forms import as_dict, as_table, clock
from caller.screen.charts import draw_dose
from caller.screen.raster import Raster, as_seen, blur_px, write_png
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import CallLayout, seconds_of
from caller.timeline.picture import scene_at
from caller.timeline.segment import Timeline

_PLAYED_SIZE = (960, 540)
_CHART_SIZE = (960, 540)
_PICTURE_SIZE = (1920, 1080)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("lesson", help="a lesson file, or the name of a ready lesson such as `demo`")
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument("--activity", action="store_true", help="how active a child is; --to draws it")
    parser.add_argument("--age", type=float, metavar="YEARS", help="with --activity (the lesson's)")
    parser.add_argument("--mass", type=float, default=25.0, metavar="KG", help="with --activity (25)")
    parser.add_argument("--play", type=int, metavar="N", help="play call N in a small window")
    parser.add_argument("--call", type=int, metavar="N", help="with --to: the picture at the end of call N")
    parser.add_argument(
        "--last-row", action="store_true", help="with --call: as a weak eye sees it from there"
    )
    parser.add_argument("--to", type=Path, metavar="FILE.png", help="where the picture goes")
    parser.add_argument("--mute", action="store_true", help="with --play: without sound")
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print the run sheet, with the start of every call by its spoken length, or its reckoned one."""
    if arguments.to is not None:
        _check_target(arguments)
    path = find_lesson(arguments.lesson)
    lesson = read_lesson(path)
    stage = stage_of(lesson.hall, path.parent, lesson.class_name)
    run_sheet = stage.run_sheet(lesson)
    if arguments.play is not None:
        with VoiceBox() as voice:
            _play(run_sheet, _numbered(run_sheet, arguments.play), voice, mute=arguments.mute)
        return 0
    if arguments.call is not None and not arguments.activity:
        call = _numbered(run_sheet, arguments.call)
        if arguments.last_row and stage.hall is None:
            raise UserError('This lesson names no hall: add a line such as hall = "gym" to see its last row.')
        last_row = stage.hall if arguments.last_row else None
        with VoiceBox() as voice:
            timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
            _draw(timeline, call, arguments.to, last_row=last_row, replace=arguments.replace)
        return 0
    with spoken_lengths() as lengths:
        layouts = lengths.layouts(run_sheet)
    if arguments.activity:
        _tell_activity(run_sheet, layouts, arguments, float(arguments.age or lesson.age))
        return 0
    starts_s = [seconds_of(start) for start in accumulate((each.length for each in layouts), initial=0)]
    if arguments.json:
        print(as_json(as_dict(run_sheet) | {"starts_s": starts_s}))
    else:
        print(as_table(run_sheet, starts_s), end="")
        print("\n".join(("", *about_lesson(run_sheet))))
    return 0


def _numbered(run_sheet: RunSheet, number: int) -> Call:
    if not 1 <= number <= len(run_sheet.calls):
        raise UserError(f"There is no call {number}: this lesson has calls 1 to {len(run_sheet.calls)}.")
    return run_sheet.calls[number - 1]


def _check_target(arguments: argparse.Namespace) -> None:
    """Refuse a picture that could not be written, or that nothing is drawn for."""
    if arguments.activity:
        check_picture(arguments.to, replace=arguments.replace)
    elif arguments.call is not None:
        check_picture(arguments.to, (".png",), replace=arguments.replace)
    else:
        raise UserError("--to needs a picture to write: add --call N, or --activity.")


def _tell_activity(
    run_sheet: RunSheet, layouts: Sequence[CallLayout], arguments: argparse.Namespace, age_y: float
) -> None:
    """Tell what the lesson asks of a child who always does the gentler choice, or draw it."""
    mass_kg, path = arguments.mass, arguments.to
    done = tuple(spells(layouts, age_y=age_y))
    harder = tuple(spells(layouts, age_y=age_y, doing="harder"))
    try:
        found = dose(done, age_y=age_y, mass_kg=mass_kg, sex="girl")
        jumping = dose(harder, age_y=age_y, mass_kg=mass_kg, sex="girl").jumps
    except ValueError as error:
        raise UserError(str(error)) from error
    if path is not None:
        title = run_sheet.title or "Activity"

        def draw(canvas: skia.Canvas) -> None:
            draw_dose(canvas, title, done, found, age_y=age_y, width=_CHART_SIZE[0], height=_CHART_SIZE[1])

        width, height = _CHART_SIZE
        write_picture(draw, path, width=width, height=height, title=title, replace=arguments.replace)
        return
    active = activity_of(layouts, found, len(run_sheet.rounds), age_y=age_y)
    if arguments.json:
        print(as_json(_activity_as_dict(active, found, jumping, age_y)))
        return
    print(found.in_words())
    print(f"Guideline: {GUIDELINE}.")
    print(
        f"A class will likely do {DONE_SHARE:.0%} of it: about {active.likely_share:.0%} of the time. "
        f"From {BEYOND_SHARE:.0%} called for, half is really done."
    )
    print(f"Clocks: {len(run_sheet.rounds)}, {active.clocks_per_min:.2f} a minute.")
    for name, seconds in found.seconds.items():
        print(f"  {name:<9} {clock(seconds)}")
    costs = ", ".join(f"{part} {clock(seconds)}" for part, seconds in list(active.costs_s.items())[:4])
    print(f"Time without such movement goes to: {costs}.")
    print(
        f"Landings: at most {jumping}, for a child who always has the jumping move. "
        f"Longest effort without a break: {clock(found.longest_effort_s)}."
    )
    print(f"Gentle movement first: {clock(found.warm_up_s)}. Calm at the end: {clock(found.calm_s)}.")
    print(
        f"Energy, {mass_kg:g} kg and {age_y:g} years: about {found.gross_kcal:.0f} kcal "
        f"({found.net_kcal:.0f} above rest). For your planning, not for children; an estimate for groups."
    )
    if found.adult_s:
        print(f"Of this, {clock(found.adult_s)} rests on adult values: the youth table has no row for it.")


def _activity_as_dict(active: Activity, found: Dose, landings: int, age_y: float) -> dict[str, Any]:
    return {
        "age_y": age_y,
        "length_s": round(found.total_s, 2),
        "active_s": round(active.seconds, 2),
        "active_share": round(active.share, 4),
        "active_means": found.cut.name,
        "likely_share": round(active.likely_share, 4),
        "clocks_per_min": round(active.clocks_per_min, 3),
        "seconds": {name: round(seconds, 2) for name, seconds in found.seconds.items()},
        "costs_s": {part: round(seconds, 2) for part, seconds in active.costs_s.items()},
        "most_landings": landings,
    }


def _draw(timeline: Timeline, call: Call, path: Path | None, *, last_row: Hall | None, replace: bool) -> None:
    if path is None:
        raise UserError("Say where the picture goes with --to and a name that ends in .png.")
    layout = timeline.bare(call).layout
    # A countdown's last second has its numeral; elsewhere the last picture holds every cue.
    sample = layout.length - 1
    scene = scene_at(layout, sample)
    width, height = _PICTURE_SIZE
    if last_row is None:
        write_png(scene, path, width=width, height=height, theme=LIGHT, replace=replace)
        return
    screen = last_row.screen
    blur = blur_px(height, image_height_m=screen.image_height_m, distance_m=screen.last_row_m)
    seen = as_seen(Raster(width, height).draw(scene, LIGHT)[..., [2, 1, 0, 3]], blur)
    image = skia.Surface(seen).makeImageSnapshot()
    write_picture(
        lambda canvas: canvas.drawImage(image, 0, 0),
        path,
        width=width,
        height=height,
        title="",
        replace=replace,
    )


def _play(run_sheet: RunSheet, call: Call, voice: VoiceBox, *, mute: bool) -> None:
    from caller.live.performance import PlanToLead  # noqa: PLC0415
    from caller.live.performance.performance import Performance  # noqa: PLC0415  (opens the window library)
    from caller.live.room import Room  # noqa: PLC0415
    from caller.live.window import Window  # noqa: PLC0415

    window = Window(size=_PLAYED_SIZE)
    try:
        with Room(window, voice, mute=mute) as room:
            Performance(
                room, PlanToLead(run_sheet=with_only(run_sheet, calls=(call,)), confirm_stop=False)
            ).run()
    finally:
        window.close()
