"""A measured figure, and tables of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One measured value beside what it is to be compared with."""

    what: str
    value: float
    unit: str
    beside: str = ""

    def row(self) -> str:
        """Return the figure as a row of a Markdown table."""
        return f"| {self.what} | {self.value:.4g} {self.unit} | {self.beside} |"


def table(figures: Iterable[Figure]) -> str:
    """Return a Markdown table."""
    return "\n".join(["| what | measured | beside |", "|---|---|---|", *(figure.row() for figure in figures)])
