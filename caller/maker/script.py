"""Change one thing in a lesson script and leave the rest as it was; and what stands beside a script at
work.

Pure: text in, text out. What stands where is told by the scan that errors are told by.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from hashlib import sha256
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

import tomlkit
from tomlkit.items import Array

from caller.errors import UserError
from caller.file_reading import read_bytes
from caller.paths import user_data
from caller.record.files import LessonRunningError, OneLesson
from caller.scripts.source import MAX_BYTES, decode, parse

_NAME: Final = "lesson.toml"
_NOTE: Final = re.compile(r"[ \t]*#[^\n]*\n\Z")
_LINE: Final = re.compile(r"[^\n]*\n\Z")


def with_value(text: str, key: str, value: Any) -> str:
    """Return a script in which a key of the lesson itself has this value; None leaves the key out."""
    return _set(text, (), key, value)


def with_round_value(text: str, index: int, key: str, value: Any) -> str:
    """Return a script in which a key of one round, counted from 0, has this value; None leaves it out."""
    return _set(text, ("round", index), key, value)


def with_round_added(text: str, index: int, time: str) -> str:
    """Return a script with a new round at `index`, counted from 0, that has nothing but a time."""
    starts, head, blocks, tail = _rounds(text)
    if not starts:
        document = tomlkit.parse(text)
        if isinstance(array := document.get("round"), Array):
            array.insert(index, tomlkit.inline_table().add("time", time))
            return tomlkit.dumps(document)
        return f'{_ended(text)}\n[[round]]\ntime = "{time}"\n'
    new = f'[[round]]\ntime = "{time}"\n\n'
    if index > 0:
        blocks[index - 1] = _parted(blocks[index - 1])
    return head + "".join((*blocks[:index], new, *blocks[index:])) + tail


def with_rounds(text: str, order: Sequence[int]) -> str:
    """Return a script whose rounds are these of the old ones, counted from 0, in this order.

    A round takes along the notes directly above its heading; what is not named is taken out.
    """
    starts, head, blocks, tail = _rounds(text)
    if starts:
        return head + "".join(_parted(blocks[each]) for each in order) + tail
    document = tomlkit.parse(text)
    array = document["round"]
    if isinstance(array, Array):
        kept = [array[each] for each in order]
        while len(array):
            array.pop()
        for each in kept:
            array.append(each)
    return tomlkit.dumps(document)


def _set(text: str, path: tuple[str | int, ...], key: str, value: Any) -> str:
    document = tomlkit.parse(text)
    table: Any = document
    for part in path:
        table = table[part]
    if key in table:
        if value is None:
            del table[key]
        else:
            table[key] = value
        return tomlkit.dumps(document)
    if value is None:
        return text
    starts, _, blocks, _ = _rounds(text)
    if path and not starts:  # rounds written as a list on one line
        table[key] = value
        return tomlkit.dumps(document)
    line = tomlkit.dumps(tomlkit.document().add(key, tomlkit.item(value)))
    start, end = (starts[path[1]], len(blocks[path[1]])) if path and isinstance(path[1], int) else (0, 0)
    end = start + end if path else _first_heading(text)
    at = start + _end_of_keys(text[start:end])
    return text[:at] + ("" if not at or text[at - 1] == "\n" else "\n") + line + text[at:]


def _rounds(text: str) -> tuple[list[int], str, list[str], str]:
    """Return where each round begins, what is before the first, each round, and what is after the last.

    A round's text begins with the notes directly above its heading. Nothing where rounds do not stand one
    after another under headings of their own.
    """
    headings = _headings(text)
    ours = [place for path, place in headings if len(path) == 2 and path[0] == "round"]
    if not ours:
        return [], text, [], ""
    places = [place for _, place in headings]
    begin, past = places.index(ours[0]), places.index(ours[-1]) + 1
    starts = [_above(text, place) for place in ours]
    if places[begin:past] != ours:
        raise UserError(
            "This script has other headings between its rounds: move its rounds together in a text editor."
        )
    end = _above(text, places[past]) if past < len(places) else len(text)
    edges = [*starts, end]
    blocks = [text[a:b] for a, b in pairwise(edges)]
    return starts, text[: starts[0]], blocks, text[end:]


def _headings(text: str) -> list[tuple[tuple[str | int, ...], int]]:
    keys = parse(text, _NAME).positions.keys
    found = {
        place: path for path, place in keys.items() if text.startswith("[", place)
    }  # the longest path stays
    return sorted(((path, place) for place, path in found.items()), key=lambda each: each[1])


def _first_heading(text: str) -> int:
    headings = _headings(text)
    return _above(text, headings[0][1]) if headings else len(text)


def _above(text: str, place: int) -> int:
    """Return where the notes directly above a heading begin."""
    place = text.rfind("\n", 0, place) + 1
    while (line := _LINE.search(text, text.rfind("\n", 0, max(place - 1, 0)) + 1, place)) and _NOTE.match(
        line[0]
    ):
        place = line.start()
    return place


def _end_of_keys(block: str) -> int:
    """Return where a new key's line goes: after the last line that is neither empty nor a note."""
    lines = block.splitlines(keepends=True)
    while lines and (not lines[-1].strip() or lines[-1].lstrip().startswith("#")):
        lines.pop()
    # At the very top, the notes of the file stay above.
    return sum(map(len, lines)) if lines else len(block)


def _ended(text: str) -> str:
    return text if not text or text.endswith("\n") else f"{text}\n"


def _parted(block: str) -> str:
    """Return a round's text with an empty line at its end."""
    block = _ended(block)
    return block if block.endswith("\n\n") else f"{block}\n"


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
