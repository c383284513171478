"""Find a lesson: a file, or a ready lesson by its name."""

from __future__ import annotations

from pathlib import Path

from rapidfuzz import process

from caller.errors import NotFoundError
from caller.paths import packaged


def ready_lessons() -> dict[str, Path]:
    """Return the ready lessons by name, in order; the name is the file's without its ending."""
    folder = packaged("lessons")
    return {path.stem: path for path in sorted(folder.rglob("*.toml"))}


def find_lesson(wanted: str) -> Path:
    """Return the path of a lesson named by its file or, if it is a ready one, by its name.

    Raises
    ------
    NotFoundError
        If there is neither; the text names the nearest ready lesson.
    """
    path = Path(wanted)
    ready = ready_lessons()
    if wanted in ready and not path.is_file():
        return ready[wanted]
    if path.is_file():
        return path
    near = process.extractOne(path.stem, list(ready), score_cutoff=60)
    mend = f'Did you mean the ready lesson "{near[0]}"?' if near else "Check its name and its folder."
    raise NotFoundError(f'There is no lesson "{wanted}". {mend}')
