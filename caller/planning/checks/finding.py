"""What a check says: an error, which must be mended, or advice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["error", "advice"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that a check has found.

    Attributes
    ----------
    check
        Which check, by its module's name.
    where
        "round 3", "warm-up"; empty for the lesson as a whole.
    text
        What, and how to mend it.
    """

    level: Level
    check: str
    where: str = ""
    text: str

    def sentence(self) -> str:
        """Return the finding as a teacher reads it."""
        return f"{self.where}: {self.text}" if self.where else self.text
