"""The right next lesson of a class: planned from its class file, where there is one, and from its record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from caller.clock.ladder import STEP_CODES
from caller.errors import CallerError, UserError
from caller.file_reading import is_file
from caller.paths import user_data
from caller.planning.classfile import SchoolClass, read_class
from caller.planning.lengths import lengths_by
from caller.planning.plan import Plan, plan_lesson
from caller.planning.staging import stage_of
from caller.record.files import record_path
from caller.record.recall import recall
from caller.record.store import Store
from caller.record.telling import next_step
from caller.sound.voice import VoiceBox

FIRST_STEP: Final = "quarters"
"""Where a class without a file begins; its record moves it on from there."""


def class_files() -> Path:
    """Return the folder in which the start screen looks for class files."""
    return user_data() / "classes"


def classes() -> Mapping[str, SchoolClass]:
    """Return the classes that are known here by name: those with a file, then those of the record alone."""
    known: dict[str, SchoolClass] = {}
    for path in sorted(class_files().glob("*.toml")):
        try:
            each = read_class(path)
        except UserError:
            continue  # `hall-caller plan` says what is wrong with it
        known[each.name.casefold()] = each
    for name in _recorded():
        if name:
            known.setdefault(name.casefold(), SchoolClass(name=name, step=FIRST_STEP))
    return {each.name: each for each in known.values()}


def plan_next(
    school_class: SchoolClass, *, minutes: int, voice: VoiceBox, folder: Path | None = None
) -> Plan:
    """Return the next lesson of a class, fitted to `minutes` by the words really spoken.

    The class's own step is where it starts; a step that the record knows to be read well is left behind.

    Parameters
    ----------
    folder
        Where the class file lies, for its hall; the folder of class files if left out.

    Raises
    ------
    UserError
        If no lesson fits the minutes.
    MachineError
        If the record cannot be read.
    """
    shown = recall(school_class.name)
    focus = next_step(shown, school_class.step if school_class.step in STEP_CODES else FIRST_STEP)
    stage = stage_of(school_class.hall, class_files() if folder is None else folder, school_class.name)
    with lengths_by(voice) as lengths:
        return plan_lesson(
            replace(school_class, minutes=minutes),
            stage=stage,
            lengths=lengths,
            minutes=minutes,
            focus=focus,
            seed=1 + len(shown.times_days),  # every lesson held gives the next one another draw
            known=shown.known,
            confused=shown.confused,
            recent=tuple(shown.times_days.items()),
        )


def _recorded() -> tuple[str, ...]:
    try:
        if not is_file(record_path()):
            return ()
        with Store() as store:
            return store.classes()
    except CallerError:
        return ()  # the next lesson's own writing meets it, and says so
