"""`hall-caller lessons`: the lessons there are, in the order in which a class learns to read the clock.

`lessons pack` and `lessons take` pass one on to a colleague.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from caller.cli.printing import as_json
from caller.cli.targets import add_replace, check_ending
from caller.clock.ladder import STEP_CODES, ages, step
from caller.errors import UserError
from caller.file_writing import check_target, write_bytes
from caller.lesson.library import find_lesson, own_folder, own_lessons, read_lesson, ready_lessons

_HEADINGS = ("Name", "Title", "Ages", "Minutes")
_DECISION: Final = (
    "A recorded voice is somebody's own, and leaves this computer in the file: that is for an adult to "
    "decide, and for a child, its parents and your school's rules come first."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.epilog = (
        f"Your own lessons are looked for in {own_folder()}. `hall-caller lessons pack LESSON` makes "
        "one file of a lesson for a colleague, `hall-caller lessons take FILE` takes one in."
    )
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")


def run(arguments: argparse.Namespace) -> int:
    """List the ready lessons and the teacher's own."""
    own = [_about(name, path, own=True) for name, path in own_lessons().items()]
    ready = [_about(name, path, own=False) for name, path in ready_lessons().items()]
    told = sorted([*own, *ready], key=lambda each: (_rung(each), not each["own"], each["name"]))
    print(as_json(told) if arguments.json else "\n".join(_page(told)))
    return 0


def add_pack_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `lessons pack` understands."""
    parser.epilog = "Your colleague takes it in with `hall-caller lessons take FILE`."
    parser.add_argument("lesson", metavar="LESSON", help="a lesson file, or the name of a lesson")
    parser.add_argument(
        "--to", required=True, type=Path, metavar="FILE", help="the file to write, like monday.zip"
    )
    parser.add_argument(
        "--own-voice",
        action="store_true",
        help="with the recordings of its sentences: they leave this computer, so an adult decides",
    )
    add_replace(parser)


def run_pack(arguments: argparse.Namespace) -> int:
    """Write a lesson, and what it needs of this computer, into one file."""
    from caller.export.lesson_pack import ENDING, packed  # noqa: PLC0415 - listing lessons needs no sound
    from caller.sound.own_voice import OwnVoice  # noqa: PLC0415

    path = find_lesson(arguments.lesson)
    check_ending(arguments.to, (ENDING,), what="that it is a packed lesson")
    check_target(arguments.to, replace=arguments.replace, sources=[path])
    if arguments.own_voice:
        print(_DECISION, file=sys.stderr)
    content, tones, recordings = packed(path, own=OwnVoice() if arguments.own_voice else None)
    write_bytes(arguments.to, content, replace=arguments.replace, private=True, sources=[path])
    told = f"Wrote {arguments.to}, with {_counted(tones, 'tone')} of your own"
    if arguments.own_voice:
        told += f" and {_counted(recordings, 'recording')}"
    print(f"{told}." + (" See that you may pass on what you did not make." if tones else ""))
    return 0


def add_take_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `lessons take` understands."""
    parser.epilog = f"`hall-caller lessons pack` writes such a file. The lesson goes into {own_folder()}."
    parser.add_argument("file", type=Path, metavar="FILE", help="a packed lesson")
    parser.add_argument(
        "--tones", action="store_true", help="with its tones, which then sound in every lesson"
    )
    parser.add_argument(
        "--own-voice",
        action="store_true",
        help="with its recordings of a voice, which then speaks in every lesson: an adult decides",
    )
    add_replace(parser)


def run_take(arguments: argparse.Namespace) -> int:
    """Take in a packed lesson, and say what came."""
    from caller.export.lesson_pack import take_in, unpacked  # noqa: PLC0415 - listing lessons needs no sound
    from caller.sound.own_voice import OwnVoice  # noqa: PLC0415

    pack = unpacked(arguments.file)
    own = OwnVoice() if arguments.own_voice else None
    path = take_in(pack, tones=arguments.tones, own=own, replace=arguments.replace)
    parts = [
        (len(pack.tones), "tone", arguments.tones, "--tones"),
        (len(pack.recordings), "recording", arguments.own_voice, "--own-voice"),
    ]
    came = " and ".join(_counted(count, noun) for count, noun, taken, _ in parts if count and taken)
    left = " and ".join(
        f"{_counted(count, noun)} (add {option})"
        for count, noun, taken, option in parts
        if count and not taken
    )
    told = f"The lesson {path.stem} is among your own" + (f", with {came}" if came else "")
    told += f"; left in the file: {left}" if left else ""
    told += f"; {_counted(pack.strange, 'recording')} could not be used" if pack.strange else ""
    print(f"{told}. Lead it with `hall-caller run {path.stem}`.")
    return 0


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"


def _about(name: str, path: Path, *, own: bool) -> dict[str, Any]:
    about: dict[str, Any] = {"name": name, "file": str(path), "own": own}
    try:
        lesson = read_lesson(path)
    except UserError as error:
        return about | {"fault": str(error).partition("\n")[0]}
    rung = step(lesson.step)
    return about | {
        "title": lesson.title,
        "step": rung.code,
        "step_name": rung.name,
        "ages": ages(rung),
        "minutes": lesson.minutes,
    }


def _rung(about: dict[str, Any]) -> int:
    return STEP_CODES.index(about["step"]) if "step" in about else len(STEP_CODES)


def _page(told: list[dict[str, Any]]) -> Iterator[str]:
    readable = [each for each in told if "step" in each]
    rows = [(_name(each), each["title"], each["ages"], str(each["minutes"] or "-")) for each in readable]
    widths = [max(map(len, column)) for column in zip(_HEADINGS, *rows, strict=True)]
    yield _line(_HEADINGS, widths)
    shown = ""
    for each, row in zip(readable, rows, strict=True):
        if each["step_name"] != shown:
            shown = each["step_name"]
            yield f"\n{shown}"
        yield _line(row, widths)
    yield ""
    yield from (f"Cannot be used: {each['file']}: {each['fault']}" for each in told if "fault" in each)
    yield "Lead one with `hall-caller run NAME`. Ages are those at which published standards expect the step."
    yield f"A star marks your own, which are looked for in {own_folder()}."


def _name(about: dict[str, Any]) -> str:
    return f"{about['name']} *" if about["own"] else about["name"]


def _line(cells: tuple[str, ...], widths: list[int]) -> str:
    return ("  " + "  ".join(f"{cell:<{width}}" for cell, width in zip(cells, widths, strict=True))).rstrip()
