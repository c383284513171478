"""Write a lesson as a script that a teacher can read and edit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import tomlkit
from tomlkit import TOMLDocument
from tomlkit.items import AoT, Table

from caller.lesson import Lesson
from caller.scripts.kinds import TableOf, TablesOf
from caller.scripts.tables import FileKey, keys_of

_HEAD = (
    "A lesson script. Words and times stand in straight quotes; numbers do not.",
    "What is left out, the caller chooses or takes from its defaults.",
)


def lesson_to_text(
    lesson: Lesson, *, head: Sequence[str] = _HEAD, comments: Mapping[str, str] | None = None
) -> str:
    """Return `lesson` as TOML that reads back to the same lesson.

    Keys at their default are left out.

    Parameters
    ----------
    head
        Lines of comment at the top.
    comments
        Comments by place: "title" stands behind that key, "voice" above that table, "round 3" above
        the third round. The notes of the keys if left out.
    """
    notes = {key.name: key.note for key in keys_of(Lesson)} if comments is None else comments
    document = tomlkit.document()
    for line in head:
        document.add(tomlkit.comment(_one_line(line)))
    document.add(tomlkit.nl())
    keys = [(key, getattr(lesson, key.field)) for key in keys_of(Lesson)]
    # TOML wants a document's plain keys before its first table.
    for key, value in keys:
        if not isinstance(key.kind, TableOf | TablesOf):
            _add(document, key, value, notes.get(key.name))
    for key, value in keys:
        if value == key.default:
            continue
        if isinstance(key.kind, TableOf):
            document.add(key.name, _table(key.kind.cls, value, notes.get(key.name)))
        elif isinstance(key.kind, TablesOf):
            tables = AoT([])
            for number, each in enumerate(value, start=1):
                tables.append(_table(key.kind.cls, each, notes.get(f"{key.name} {number}")))
            document.add(key.name, tables)
    return tomlkit.dumps(document)


def _table(cls: type[object], value: object, comment: str | None) -> Table:
    table = tomlkit.table()
    for key in keys_of(cls):
        _add(table, key, getattr(value, key.field))
    # A comment above a heading is the heading's indent; set last, or the keys would be indented too.
    table.trivia.indent = f"\n# {_one_line(comment)}\n" if comment else "\n"
    return table


def _add(table: Table | TOMLDocument, key: FileKey, value: object, comment: str | None = None) -> None:
    """Add a key with its value, unless it is at its default."""
    if value == key.default:
        return
    item = tomlkit.item(key.kind.write(value))
    if comment:
        item.comment(_one_line(comment))
    table.add(key.name, item)


def _one_line(text: str) -> str:
    return " ".join(text.split())
