"""What the class is asked to do in each kind of call, and so what the figures do.

For a child who cannot read yet the picture is the instruction: a figure that goes on jumping through
"Stand still" teaches jumping.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from caller.runsheet.model import Call, CallKind, FiguresDo

FIGURES_DO: Final[Mapping[CallKind, FiguresDo]] = MappingProxyType(
    {
        "sound-check": "still",
        "welcome": "still",
        "safety": "still",
        "warm-up": "move",
        "ready": "still",
        "question": "still",
        "choices": "show",
        "decide": "still",
        "move": "move",
        "time-up": "still",
        "answer": "still",
        "reason": "still",
        "catch-up": "move",
        "breath": "rest",
        "close": "still",
    }
)
"""What a kind of call asks for where neither the call nor its line says otherwise."""


def figures_do(call: Call, line: int | None = None) -> FiguresDo:
    """Return what the figures do in `call` once its line of this index is being said; None: before any.

    A line's own word holds until another line has one.
    """
    if line is not None:
        for said in reversed(call.lines[: line + 1]):
            if said.doing is not None:
                return said.doing
    return FIGURES_DO[call.kind] if call.doing is None else call.doing
