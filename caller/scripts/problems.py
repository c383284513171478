"""What is wrong with a file, where, and how to mend it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from caller.errors import ScriptError

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
