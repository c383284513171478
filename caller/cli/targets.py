"""What verbs share that write a file: which name, whether one that is there may go, and pictures.

One rule for all: a file that is there is never written over unless `--replace` says so, since a slip of the
finger must not cost a script, a record or an hour's video. Only `hall measure` writes into the hall file that
it was given: adding the figures to it is what was asked.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from caller.clock import ClockError
from caller.errors import UserError
from caller.file_writing import check_target, write_bytes

if TYPE_CHECKING:
    from caller.screen.raster import Draw

PICTURES = (".png", ".svg", ".pdf")


def add_replace(parser: argparse.ArgumentParser) -> None:
    """Let the verb be told that it may write over a file."""
    parser.add_argument("--replace", action="store_true", help="write over a file that is there already")


@contextmanager
def mistakes_told() -> Iterator[None]:
    """Tell what cannot be on a clock as the person's mistake."""
    try:
        yield
    except ClockError as error:
        raise UserError(str(error)) from error


def check_ending(
    target: Path, endings: tuple[str, ...] = PICTURES, *, what: str = "what picture to write"
) -> None:
    """Refuse a name whose ending is not one of `endings`.

    Raises
    ------
    UserError
        The name ends otherwise.
    """
    if target.suffix.lower() not in endings:
        wanted = " or ".join(filter(None, (", ".join(endings[:-1]), endings[-1])))
        raise UserError(f'"{target.name}" does not say {what}: end its name in {wanted}.')


def check_picture(target: Path, endings: tuple[str, ...] = PICTURES, *, replace: bool) -> None:
    """Refuse a picture that could not be written, before any work is done for it; errors as they are told."""
    check_ending(target, endings)
    check_target(target, replace=replace)


def write_picture(
    draw: Draw, target: Path, *, width: int, height: int, title: str, replace: bool = False
) -> None:
    """Write what `draw` draws to `target`; points in a PDF, pixels otherwise."""
    from caller.screen.raster import file_bytes  # noqa: PLC0415  (a quarter of a second, for pictures only)

    content = file_bytes(draw, width, height, target.suffix, title=title)
    write_bytes(target, content, replace=replace)
