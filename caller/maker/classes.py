"""A class file on the workbench: its text, what the form changes in it, and what the class knows."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from caller.clock.ladder import STEP_CODES
from caller.errors import CallerError, UserError
from caller.file_reading import is_file, read_bytes
from caller.file_writing import make_folder, write_text
from caller.hall.hallfile import parse_hall
from caller.languages import words
from caller.maker.script import with_value
from caller.planning.classfile import SchoolClass, class_from_text
from caller.planning.next_lessons import class_files, classes
from caller.record.store import recall
from caller.scripts.source import MAX_BYTES, decode

_MOST_LETTERS: Final = 40


class ClassMade:
    """A class being made or changed; its notes, and what the form does not show, stay as they are.

    Parameters
    ----------
    name
        Of a class that is known here; empty for a new one.
    code
        The language of a new class's calls.
    """

    def __init__(self, name: str = "", *, code: str = "en-GB") -> None:
        found = _file_of(name) if name else None
        self._new = found is None
        self.path = class_files() / f"{_file_name(name)}.toml" if found is None else found
        self._text = "" if found is None else decode(read_bytes(found, most_bytes=MAX_BYTES), found.name)
        if found is not None:
            self.school_class = class_from_text(self._text)
        else:
            self.school_class = classes().get(name) or SchoolClass(name=name, language=code)

    def knows(self, code: str) -> tuple[str, ...]:
        """Return what the record says of each step that was counted, in the words of a language."""
        try:
            known = recall(self.school_class.name).known if self.school_class.name else {}
        except CallerError:
            return ()
        say, title = words(code, "screen").say, words(code, "titles").say
        return tuple(
            f"{title(step)}: {say('start.known-by', share=round(100 * known[step]))}"
            for step in STEP_CODES
            if step in known
        )

    def save(self, values: Mapping[str, Any]) -> SchoolClass:
        """Write the class file with these values, by the keys that such a file has.

        Raises
        ------
        CallerError
            If it cannot be used so, or cannot be written; nothing is changed then.
        """
        text = self._text
        for key, value in values.items():
            text = with_value(text, key, value if value != "" else None)
        made = class_from_text(text)
        path = self.path
        if self._new:
            path = class_files() / f"{_file_name(made.name)}.toml"
            if is_file(path):
                raise UserError(f'There is a class "{made.name}" already: give this one another name.')
        make_folder(path.parent)
        write_text(path, text, replace=not self._new)
        self.path, self._text, self._new, self.school_class = path, text, False, made
        return made

    def save_hall(self, text: str) -> Path:
        """Keep a hall file beside the class file, and let the class meet in that hall; return where it is.

        Raises
        ------
        CallerError
            If it cannot be used, or cannot be written; the class is not changed then.
        """
        place = self.path.with_name(f"{self.path.stem}-hall.toml")
        parse_hall(text, place.name)
        make_folder(place.parent)
        write_text(place, text, replace=True)
        was = self.school_class
        youngest, oldest = was.age
        facts = {"name": was.name, "age": f"{youngest}-{oldest}", "step": was.step, "minutes": was.minutes}
        self.save((facts if self._new else {}) | {"hall": place.name})
        return place


def _file_of(name: str) -> Path | None:
    """Return the file of a class; None where it is known by the record alone."""
    for path in sorted(class_files().glob("*.toml")):
        try:
            found = class_from_text(decode(read_bytes(path, most_bytes=MAX_BYTES), path.name), path.name)
        except CallerError:
            continue
        if found.name.casefold() == name.casefold():
            return path
    return None


def _file_name(name: str) -> str:
    return re.sub(r"[^\w]+", "-", name.lower()).strip("-")[:_MOST_LETTERS] or "class"
