"""One stream of chance for each decision, so that editing one round leaves the others as they were."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random


@dataclass(frozen=True, slots=True)
class Streams:
    """Random numbers from a lesson's seed, apart for each decision and round."""

    seed: int

    def of(self, decision: str, number: int | str = 0) -> Random:
        """Return the stream of one decision; the same on every machine and in every process."""
        # A string seed is hashed with SHA-512 by the library, never with the process's own hash.
        return Random(f"{self.seed}/{decision}/{number}")
