"""Where every text of a page really stands: a canvas that notes what is written on it, in pixels.

It sees what Skia is asked to draw, after every scaling, and knows nothing of how pages are laid out.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

from caller.screen.skia_door import skia

_SKIA: Any = skia


@dataclass(frozen=True)
class Written:
    """One run of letters: its text, its box in pixels, and the height from its capitals to its descenders."""

    text: str
    left: float
    top: float
    right: float
    bottom: float
    letters: float

    def covers(self, other: Written, slack: float) -> bool:
        """Tell whether this text and another stand on each other by more than `slack` pixels."""
        return (
            self.left + slack < other.right
            and other.left + slack < self.right
            and self.top + slack < other.bottom
            and other.top + slack < self.bottom
        )


class NotingCanvas:
    """Draws as the canvas that it stands for, and notes each text."""

    def __init__(self, canvas: skia.Canvas) -> None:
        self._canvas: Any = canvas
        self.written: list[Written] = []

    def __getattr__(self, name: str) -> Any:
        return getattr(self._canvas, name)

    def drawString(self, text: str, x: float, y: float, font: skia.Font, paint: skia.Paint) -> None:  # noqa: N802
        matrix: Any = self._canvas.getTotalMatrix()
        box = matrix.mapRect(_ink(font, text).makeOffset(x, y))
        # From the top of an H to the foot of a g, by the typeface itself.
        letters = matrix.mapRadius(_ink(font, "g").bottom() - _ink(font, "H").top())
        if text.strip():
            self.written.append(Written(text, box.left(), box.top(), box.right(), box.bottom(), letters))
        self._canvas.drawString(text, x, y, font, paint)


def _ink(font: Any, text: str) -> Any:
    box = _SKIA.Rect.MakeEmpty()
    font.measureText(text, _SKIA.TextEncoding.kUTF8, box)
    return box


def overlaps(written: list[Written], slack: float = 1.0) -> list[tuple[str, str]]:
    """Return the texts that stand on each other."""
    return [(one.text, other.text) for one, other in combinations(written, 2) if one.covers(other, slack)]
