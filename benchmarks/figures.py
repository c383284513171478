"""A measured figure, and tables of them."""

from __future__ import annotations

import os
import platform
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime


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


def machine() -> str:
    """Return when and on what something is measured, and how busy it was when that began."""
    load = f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "unknown"
    system = f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors"
    day = datetime.now(tz=UTC).strftime("%Y-%m-%d")
    return f"({day}; {system}, Python {platform.python_version()}; load {load} when it began.)"
