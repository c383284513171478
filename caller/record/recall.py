"""What a class can read today, and whether it knows the caller, straight from the record."""

from __future__ import annotations

import time
from pathlib import Path

from caller.errors import CallerError
from caller.file_reading import is_file
from caller.record.files import record_path
from caller.record.knowledge import Knowledge, know
from caller.record.store import Store


def recall(class_name: str, path: Path | None = None, *, now_s: float | None = None) -> Knowledge:
    """Return what the record knows of a class; of one that it does not have, that nothing is known.

    Raises
    ------
    MachineError
        If there is a record that cannot be read.
    """
    path = record_path() if path is None else path
    now_s = time.time() if now_s is None else now_s
    if not is_file(path):
        return know((), now_s)
    with Store(path) as store:
        names = [name for name in store.classes() if name.casefold() == class_name.casefold()]
        lessons = store.lessons(names[0]) if names else ()
    return know(lessons, now_s)


def led_before(class_name: str, path: Path | None = None) -> bool:
    """Return whether a class has been led as far as a clock before; no, where the record cannot be read.

    A lesson for no class in particular has no record.
    """
    path = record_path() if path is None else path
    try:
        if not class_name or not is_file(path):
            return False
        with Store(path) as store:
            names = [name for name in store.classes() if name.casefold() == class_name.casefold()]
            return any(lesson.rounds for name in names for lesson in store.lessons(name))
    except CallerError:
        return False  # the lesson's own writing meets it, and says so
