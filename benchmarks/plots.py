"""Pictures beside the tables: what a median and a percentile leave out."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

_SIZE_IN = (7.0, 3.0)


def over_time(
    path: Path, minutes: NDArray[np.float64], values: NDArray[np.float64], *, what: str, limit: float
) -> None:
    """Draw one dot for every measurement, and the limits on either side of nought."""
    figure = Figure(figsize=_SIZE_IN, layout="constrained")
    axes = figure.subplots()
    axes.plot(minutes, values, ".", markersize=2, color="#1f4e79")
    for edge in (-limit, limit):
        axes.axhline(edge, color="#a33", linewidth=1, linestyle="--")
    axes.set(xlabel="minutes", ylabel=what)
    _save(figure, path)


def histogram(path: Path, values: NDArray[np.float64], *, what: str, limit: float) -> None:
    """Draw how often each value came, on a logarithmic axis so that rare ones are seen, and the limit."""
    figure = Figure(figsize=_SIZE_IN, layout="constrained")
    axes = figure.subplots()
    axes.hist(values, bins=list(np.arange(0.0, max(float(values.max()), limit) + 1.0, 0.25)), color="#1f4e79")
    axes.axvline(limit, color="#a33", linewidth=1, linestyle="--")
    axes.set(xlabel=what, ylabel="how often", yscale="log")
    _save(figure, path)


def _save(figure: Figure, path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    figure.savefig(path, dpi=120)
