"""The table of faults: what was done to the program, what the class noticed, and what was lost."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

HEAD = """# What happens when something goes wrong

Every row was made by a test in `tests/faults` that does the damage for real while the program runs, and
measures. To make this page again:

    FAULTS_TABLE=docs/faults.md python -m pytest -m "endtoend or not endtoend" tests/faults -p no:randomly

"Recovered" counts from the damage, or from the moment at which a cure was there at all, to normal running;
a dash means that nothing stopped.

| fault | done by the test | what the class sees and hears | recovered | lost |
|---|---|---|---|---|
"""


@dataclass(frozen=True)
class Outcome:
    """One fault and what came of it."""

    fault: str
    injected: str
    noticed: str
    recovered_s: float | None
    lost: str

    def row(self) -> str:
        """Return a row of the table."""
        recovered = "–" if self.recovered_s is None else f"{self.recovered_s:.1f} s"
        return f"| {self.fault} | {self.injected} | {self.noticed} | {recovered} | {self.lost} |\n"


def write_table(outcomes: list[Outcome], path: Path) -> None:
    """Write the page."""
    path.write_text(HEAD + "".join(outcome.row() for outcome in outcomes), encoding="utf-8")
