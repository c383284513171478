"""Where every key and value of a TOML text stands.

The standard library's parser tells what a text says but not where; this scan walks the same
grammar only to note positions. It is lenient: what it cannot follow it leaves to the parser, which
has the last word on what is valid. Its work is linear in the text, and its depth is bounded, so it
runs first and keeps hostile nesting away from the parser.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

KeyPath = tuple[str | int, ...]

MAX_DEPTH = 8

_BLANK = re.compile(r"[ \t]*")
_GAP = re.compile(r"(?:[ \t\n]+|#[^\n]*)*")
_REST = re.compile(r"[ \t]*(?:#[^\n]*)?")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}#\n]*")
_STRINGS = {
    '"""': re.compile(r'"""(?:[^"\\]|\\.|"(?!""))*"{3,5}', re.DOTALL),
    "'''": re.compile(r"'''(?:[^']|'(?!''))*'{3,5}"),
    '"': re.compile(r'"(?:[^"\\\n]|\\.)*"'),
    "'": re.compile(r"'[^'\n]*'"),
}


class Stopped(Exception):  # noqa: N818 - a signal within this package, not an error for anyone
    """The scan cannot go on at `offset`; `opened` is the bracket left open, if that is why."""

    def __init__(self, offset: int, *, opened: int | None = None, deep: bool = False) -> None:
        super().__init__(offset)
        self.offset = offset
        self.opened = opened
        self.deep = deep


@dataclass(slots=True)
class Positions:
    """Offsets into the text, by path: of each key (or table header), and of each value."""

    keys: dict[KeyPath, int] = field(default_factory=dict)
    values: dict[KeyPath, int] = field(default_factory=dict)
    stopped: Stopped | None = None


def scan(text: str) -> Positions:
    """Return where the keys and values of `text` stand, as far as they could be followed."""
    walker = _Walker(text)
    try:
        walker.document()
    except Stopped as stop:
        walker.found.stopped = stop
    return walker.found


class _Walker:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.found = Positions()
        self.lengths: dict[KeyPath, int] = {}  # how many tables each array of tables has so far

    def document(self) -> None:
        table: KeyPath = ()
        while True:
            self._skip(_GAP)
            if self.at >= len(self.text):
                return
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._skip(_REST)
            if self.at < len(self.text) and self.text[self.at] != "\n":
                raise Stopped(self.at)

    def _skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        if match:
            self.at = match.end()

    def _expect(self, mark: str, *, opened: int | None = None) -> None:
        if not self.text.startswith(mark, self.at):
            raise Stopped(self.at, opened=opened)
        self.at += len(mark)

    def _header(self) -> KeyPath:
        start = self.at
        many = self.text.startswith("[[", start)
        self.at += 2 if many else 1
        self._skip(_BLANK)
        parts = self._key()
        path: KeyPath = ()
        for part in parts[:-1]:
            path = self._latest((*path, part))
            self.found.keys.setdefault(path, start)
        path = (*path, parts[-1])
        if many:
            index = self.lengths.get(path, 0)
            self.lengths[path] = index + 1
            self.found.keys.setdefault(path, start)
            path = (*path, index)
        else:
            path = self._latest(path)
        self.found.keys.setdefault(path, start)
        self._expect("]]" if many else "]", opened=start)
        return path

    def _latest(self, path: KeyPath) -> KeyPath:
        count = self.lengths.get(path)
        return path if count is None else (*path, count - 1)

    def _key(self) -> list[str]:
        parts: list[str] = []
        while True:
            if len(parts) == MAX_DEPTH:
                raise Stopped(self.at, deep=True)
            quoted = self._string()
            if quoted is not None:
                parts.append(quoted[1:-1])
            else:
                match = _BARE_KEY.match(self.text, self.at)
                if not match:
                    raise Stopped(self.at)
                self.at = match.end()
                parts.append(match.group())
            self._skip(_BLANK)
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1
            self._skip(_BLANK)

    def _pair(self, table: KeyPath, *, depth: int = 0) -> None:
        start = self.at
        path = table
        for part in self._key():
            path = (*path, part)
            self.found.keys.setdefault(path, start)
        self._expect("=")
        self._skip(_BLANK)
        self._value(path, depth)

    def _string(self) -> str | None:
        for mark, pattern in _STRINGS.items():
            if self.text.startswith(mark, self.at):
                match = pattern.match(self.text, self.at)
                if not match:
                    raise Stopped(self.at)
                self.at = match.end()
                return match.group()
        return None

    def _value(self, path: KeyPath, depth: int) -> None:
        if depth > MAX_DEPTH:
            raise Stopped(self.at, deep=True)
        start = self.at
        self.found.values[path] = start
        mark = self.text[start : start + 1]
        if mark == "[":
            self._array(path, depth)
        elif mark == "{":
            self._inline_table(path, depth)
        elif self._string() is None:
            self._skip(_BARE_VALUE)
            if self.at == start:
                raise Stopped(start)

    def _array(self, path: KeyPath, depth: int) -> None:
        opened = self.at
        self.at += 1
        index = 0
        while True:
            self._skip(_GAP)
            if self.text.startswith("]", self.at):
                self.at += 1
                return
            if self.at >= len(self.text):
                raise Stopped(self.at, opened=opened)
            self._value((*path, index), depth + 1)
            index += 1
            self._skip(_GAP)
            if self.text.startswith(",", self.at):
                self.at += 1
            elif not self.text.startswith("]", self.at):
                raise Stopped(self.at, opened=opened)

    def _inline_table(self, path: KeyPath, depth: int) -> None:
        opened = self.at
        self.at += 1
        while True:
            self._skip(_GAP)
            if self.text.startswith("}", self.at):
                self.at += 1
                return
            if self.at >= len(self.text):
                raise Stopped(self.at, opened=opened)
            self._pair(path, depth=depth + 1)
            self._skip(_GAP)
            if self.text.startswith(",", self.at):
                self.at += 1
            elif not self.text.startswith("}", self.at):
                raise Stopped(self.at, opened=opened)
