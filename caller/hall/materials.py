"""What halls are made of: absorption coefficients by name, from `materials.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from caller.hall.bands import Bands

# Absorption area of one standing child (m²) in the seven bands: 60-80 % of a standing adult's (from
# memory).
CHILD_M2: Bands = (0.12, 0.20, 0.30, 0.38, 0.42, 0.42, 0.42)


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A surface: its absorption coefficients at 125 Hz to 8 kHz, and how far they can be trusted."""

    name: str
    label: str
    absorption: Bands
    source: str
    status: str


@cache
def materials() -> Mapping[str, Material]:
    """Return every known material by its name."""
    text = files("caller.hall").joinpath("materials.toml").read_text(encoding="utf-8")
    table = {
        name: Material(
            name=name,
            label=row["label"],
            absorption=tuple(row["absorption"]),
            source=row["source"],
            status=row["status"],
        )
        for name, row in tomllib.loads(text).items()
    }
    return MappingProxyType(table)
