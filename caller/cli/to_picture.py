"""What verbs share that answer with a picture: times as typed, and files whose ending says what."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from caller.clock.times import ClockError
from caller.errors import UserError
from caller.export.files import replacing
from caller.screen.still import Draw, file_bytes

ENDINGS = (".png", ".svg", ".pdf")


@contextmanager
def mistakes_told() -> Iterator[None]:
    """Tell what cannot be on a clock as the person's mistake."""
    try:
        yield
    except ClockError as error:
        raise UserError(str(error)) from error


def check_ending(target: Path, endings: tuple[str, ...] = ENDINGS) -> None:
    """Refuse a picture's name whose ending is not one of `endings`.

    Raises
    ------
    UserError
        The name ends otherwise.
    """
    if target.suffix.lower() not in endings:
        wanted = " or ".join(filter(None, (", ".join(endings[:-1]), endings[-1])))
        raise UserError(f'"{target.name}" does not say what picture to write: end its name in {wanted}.')


def write_picture(draw: Draw, target: Path, *, width: int, height: int, title: str) -> None:
    """Write what `draw` draws to `target`; points in a PDF, pixels otherwise."""
    with replacing(target) as unfinished:
        unfinished.write_bytes(file_bytes(draw, width, height, target.suffix, title=title))
