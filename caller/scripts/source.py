"""A TOML file as text, as data, with the place of everything in it; and what is wrong with it, and where."""

from __future__ import annotations

import bisect
import codecs
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from caller.errors import ScriptError
from caller.file_reading import read_bytes
from caller.scripts.scan import KeyPath, Positions, scan

_SHOWN = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong in a file; lines and columns count from 1."""

    line: int
    column: int
    key_path: str  # in a teacher's words: "round 3, time"; empty for the file as a whole
    what: str
    mend: str

    def sentence(self, name: str) -> str:
        """Return the problem as a teacher reads it, `name` being the file's."""
        about = f"{self.key_path}: " if self.key_path else ""
        return f"{name}, line {self.line}, column {self.column}: {about}{self.what} {self.mend}".rstrip()


class ScriptProblems(ScriptError):  # noqa: N818 - it is several errors, and says so
    """A file with problems; all that could be found in one reading, in the order of the file."""

    def __init__(self, name: str, problems: Sequence[Problem]) -> None:
        self.name = name
        self.problems = tuple(sorted(problems, key=lambda problem: (problem.line, problem.column)))
        lines = [problem.sentence(name) for problem in self.problems[:_SHOWN]]
        more = len(self.problems) - _SHOWN
        if more > 0:
            lines.append(f"{name}: and {more} more like these. Mend the first ones, then read it again.")
        super().__init__("\n".join(lines))


MAX_BYTES = 256_000

_UTF16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_SAVE_AGAIN = "Save it again as UTF-8 (in the editor: Save as, Encoding)."
_CURLY = "“”„«»‘’‚"
_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_BARE_TIME = re.compile(r"[=,\[]\s*(\d{1,2}:\d{1,2})(?![\d:])")

# What the parser says, as a teacher would want it: (pattern, what, mend).
_PARSER_WORDS = (
    ("Unclosed array", "this list is not closed.", "Put a ] at its end."),
    ("Unclosed inline table", "this group is not closed.", "Put a } at its end."),
    (r"Expected '\]\]'", "this heading is not closed.", "Write it like [[round]]."),
    (r"Expected '\]'", "this heading is not closed.", "Write it like [voice]."),
    ("Expected '='", "there is no = after this name.", 'Write it like title = "Our lesson".'),
    ("Cannot overwrite|Cannot mutate", "this name is here twice.", "Keep one of them."),
    (
        "Cannot declare",
        "this heading is here twice.",
        "Keep one; each of several rounds begins with [[round]].",
    ),
    ("Unterminated string|Illegal character", "these words are not closed.", 'Put a " at their end.'),
    (r"Unescaped '\\'", "there is a backslash in these words.", "Take it out."),
    (
        "Invalid initial character",
        "a line cannot begin like this.",
        "Begin it with a name, or with # for a note.",
    ),
    ("Expected newline", "something follows that does not belong here.", "Give it a line of its own."),
    (
        "Invalid value|Invalid date",
        "this value cannot be read.",
        'Put words in straight quotes, like "Terns".',
    ),
    ("Invalid statement", "this line cannot be read.", 'Write it like title = "Our lesson".'),
    ("Exceeds the limit", "this number is too large.", "Write a smaller one."),
)


@dataclass(frozen=True, slots=True)
class TomlSource:
    """A file's text, its data, and where things stand in it."""

    name: str
    text: str
    data: dict[str, Any]
    positions: Positions
    line_starts: tuple[int, ...]
    notes: tuple[str, ...] = ()  # harmless oddities of the file, read past

    def place(self, path: KeyPath, *, value: bool) -> tuple[int, int]:
        """Return line and column, from 1, of the value (or key) at `path`, or of the nearest table."""
        for end in range(len(path), -1, -1):
            part = path[:end]
            for where in (self.positions.values, self.positions.keys) if value else (self.positions.keys,):
                if part in where:
                    return _line_column(self.line_starts, where[part])
        return (1, 1)


def load(path: Path) -> TomlSource:
    """Read the TOML file at `path`.

    Raises
    ------
    NotFoundError
        If there is no such file, it is none that can be read, or it may not be read.
    MachineError
        If the disk fails.
    ScriptProblems
        If it is too large, not text, or not TOML.
    """
    raw = read_bytes(path, most_bytes=MAX_BYTES)
    return parse(decode(raw, path.name), path.name, notes=_oddities(raw, path.name))


def decode(raw: bytes, name: str) -> str:
    """Return the text in `raw`, which must be UTF-8; a byte-order mark and any line ends are fine."""
    if len(raw) > MAX_BYTES:
        raise _failure(
            name, 1, 1, "the file is too large for a script.", f"Keep it under {MAX_BYTES // 1000} kB."
        )
    if raw.startswith(_UTF16) or _pairs_with_zero(raw):
        raise _failure(name, 1, 1, "the file is saved as UTF-16.", _SAVE_AGAIN)
    if b"\0" in raw:
        before = raw[: raw.index(b"\0")]
        line, column = before.count(b"\n") + 1, len(before) - before.rfind(b"\n")
        raise _failure(
            name,
            line,
            column,
            "this is not a text file.",
            "Choose a text file whose name ends in .toml.",
        )
    try:
        text = raw.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as error:
        before = error.object[: error.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8")) + 1
        raise _failure(name, line, column, "this letter is not saved as UTF-8.", _SAVE_AGAIN) from None
    return text


def parse(text: str, name: str, *, notes: tuple[str, ...] = ()) -> TomlSource:
    """Return `text` parsed; its line ends may be of any system.

    Raises
    ------
    ScriptProblems
        If it is not TOML, with the place.
    """
    if len(text) > MAX_BYTES:
        raise _failure(
            name, 1, 1, "the text is too large for a script.", f"Keep it under {MAX_BYTES // 1000} kB."
        )
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    positions = scan(text)
    line_starts = (0, *(match.end() for match in re.finditer("\n", text)))
    if positions.stopped is not None and positions.stopped.deep:
        line, column = _line_column(line_starts, positions.stopped.offset)
        raise _failure(
            name,
            line,
            column,
            "too many brackets or dots inside one another.",
            "A script needs three at most.",
        )
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise ScriptProblems(name, [_syntax_problem(str(error), text, line_starts, positions)]) from None
    return TomlSource(name, text, data, positions, line_starts, notes)


def _pairs_with_zero(raw: bytes) -> bool:
    """Return whether `raw` looks like plain letters in UTF-16: every second byte zero."""
    return len(raw) > 1 and any(not any(raw[odd::2]) and raw[1 - odd :: 2].isascii() for odd in (0, 1))


def _oddities(raw: bytes, name: str) -> tuple[str, ...]:
    notes = []
    if raw.startswith(codecs.BOM_UTF8):
        notes.append(
            f"{name}, line 1, column 1: begins with a byte-order mark. It does no harm; nothing to mend."
        )
    if b"\r\n" in raw:
        line = raw[: raw.index(b"\r\n")].count(b"\n") + 1
        notes.append(f"{name}, line {line}: has Windows line ends. They do no harm; nothing to mend.")
    return tuple(notes)


def _line_column(line_starts: tuple[int, ...], offset: int) -> tuple[int, int]:
    line = bisect.bisect_right(line_starts, offset)
    return line, offset - line_starts[line - 1] + 1


def _failure(name: str, line: int, column: int, what: str, mend: str) -> ScriptProblems:
    return ScriptProblems(name, [Problem(line=line, column=column, key_path="", what=what, mend=mend)])


def _syntax_problem(said: str, text: str, line_starts: tuple[int, ...], positions: Positions) -> Problem:
    """Return the parser's complaint in a teacher's words, at the place to mend."""
    place = _PLACE.search(said)
    if place and place[1]:
        line, column = int(place[1]), int(place[2])
    else:
        line, column = _line_column(line_starts, len(text))
    stop = positions.stopped
    if stop is not None:
        # The parser reports where it gave up; a bracket that was never closed is where to look.
        line, column = _line_column(line_starts, stop.opened if stop.opened is not None else stop.offset)
    written = text[line_starts[line - 1] :].split("\n", 1)[0]
    curly = next((index for index, letter in enumerate(written) if letter in _CURLY), None)
    bare = _BARE_TIME.search(written)
    if bare and f'"{bare[1]}"' not in written:
        what, mend = "a time needs quotes.", f'Write "{bare[1]}" with straight quotes around it.'
        column = bare.start(1) + 1
    elif curly is not None:
        what, mend = "these quotes are curly.", 'Use straight quotes, like "4:40".'
        column = curly + 1
    elif (
        stop is not None
        and stop.opened is not None
        and text[stop.opened] == "["
        and not written.lstrip().startswith("[")
    ):
        what, mend = "this list is not closed.", "Put a comma between its items and a ] at its end."
    else:
        what, mend = next(
            ((what, mend) for pattern, what, mend in _PARSER_WORDS if re.search(pattern, said)),
            ("this cannot be read.", 'Write lines like title = "Our lesson".'),
        )
    return Problem(line=line, column=column, key_path="", what=what, mend=mend)
