"""`hall-caller lessons`: the lessons there are, in the order in which a class learns to read the clock."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from caller.cli.printing import as_json
from caller.clock.ladder import STEP_CODES, ages, step
from caller.errors import UserError
from caller.lesson.library import own_folder, own_lessons, read_lesson, ready_lessons

_HEADINGS = ("Name", "Title", "Ages", "Minutes")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.epilog = f"Your own lessons are looked for in {own_folder()}."
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")


def run(arguments: argparse.Namespace) -> int:
    """List the ready lessons and the teacher's own."""
    own = [_about(name, path, own=True) for name, path in own_lessons().items()]
    ready = [_about(name, path, own=False) for name, path in ready_lessons().items()]
    told = sorted([*own, *ready], key=lambda each: (_rung(each), not each["own"], each["name"]))
    print(as_json(told) if arguments.json else "\n".join(_page(told)))
    return 0


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
