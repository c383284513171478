"""What stands beside a script while it is made: its text on the disk, its draft, and who has it open."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

from caller.errors import UserError
from caller.file_reading import read_bytes
from caller.paths import user_data
from caller.record.files import LessonRunningError, OneLesson
from caller.scripts.source import MAX_BYTES, decode


def only_here(path: Path | None) -> OneLesson:
    """Hold a script for this one window of the maker, until it is let go.

    Raises
    ------
    UserError
        If another window has it.
    """
    try:
        return OneLesson(draft_of(path).with_suffix(".lock"))
    except LessonRunningError:
        raise UserError("This lesson is open in another window of the maker: go on there.") from None


def text_of(path: Path) -> str:
    """Return what a script holds; lines end as everywhere."""
    return decode(read_bytes(path, most_bytes=MAX_BYTES), path.name).replace("\r\n", "\n")


def bench() -> Path:
    """Return the folder of what is not saved yet, and of what is only tried out."""
    return user_data() / "making"


def draft_of(path: Path | None) -> Path:
    """Return where the draft of a script is kept; None is a new one's."""
    name = (
        "new" if path is None else f"{path.stem[:40]}-{sha256(str(path.resolve()).encode()).hexdigest()[:12]}"
    )
    return bench() / f"{name}.toml"
