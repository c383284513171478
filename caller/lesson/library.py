"""Find a lesson: a file, or a ready lesson or one's own by its name or its title."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from rapidfuzz import process

from caller.errors import CallerError, NotFoundError, UserError
from caller.file_reading import files_under, is_file, read_bytes
from caller.paths import packaged, user_data
from caller.scripts.source import MAX_BYTES

_CLOSE: Final = 60  # of 100: as alike as a slip of the finger leaves two names


def ready_lessons() -> dict[str, Path]:
    """Return the ready lessons by name, in order; the name is the file's without its ending."""
    return {path.stem: path for path in files_under(packaged("lessons"), ".toml")}


def own_folder() -> Path:
    """Return the folder in which the teacher's own lessons are looked for."""
    return user_data() / "lessons"


def own_lessons() -> dict[str, Path]:
    """Return the teacher's own lessons by name, in order; none where their folder may not be read."""
    try:
        return {path.stem: path for path in sorted(own_folder().glob("*.toml"))}
    except OSError:
        return {}


def find_lesson(wanted: str) -> Path:
    """Return the path of a lesson named by its file, or by the name or title of an own or a ready one.

    Raises
    ------
    NotFoundError
        If there is none; the text names the nearest ready lesson.
    UserError
        If several have this title.
    """
    path = Path(wanted)
    if is_file(path):
        return path
    named = ready_lessons() | own_lessons()
    if wanted in named:
        return named[wanted]
    titled = [each for each in named.values() if _alike(wanted) and _alike(wanted) == _alike(_title(each))]
    if len(titled) == 1:
        return titled[0]
    if titled:
        names = ", ".join(f'"{each.stem}"' for each in titled)
        raise UserError(f'{len(titled)} lessons are called "{wanted}": choose one by its name, {names}.')
    raise NotFoundError(f'There is no lesson "{wanted}". {_mend(path, named)}')


def _mend(path: Path, named: dict[str, Path]) -> str:
    near = process.extractOne(path.stem, list(named), score_cutoff=_CLOSE)
    if near:
        return f'Did you mean the ready lesson "{near[0]}"?'
    return "Check its name and its folder."


def _title(path: Path) -> str:
    try:
        title = tomllib.loads(read_bytes(path, most_bytes=MAX_BYTES).decode("utf-8-sig")).get("title")
    except (CallerError, ValueError, RecursionError):
        return ""  # `hall-caller check` says what is wrong with it
    return title if isinstance(title, str) else ""


def _alike(title: str) -> str:
    """Return a title as it is compared: capitals, marks and the width of spaces do not matter."""
    return "".join(_letters(title))


def _letters(title: str) -> Iterator[str]:
    return (letter for letter in title.casefold() if letter.isalnum())
