"""Whether the tests reach as much of every room as they must, for the night.

Run `python -m benchmarks.floors coverage.json` on what `pytest --cov --cov-report=json:coverage.json` wrote.
Branches count, and child processes are measured too (`patch = ["subprocess"]` in pyproject.toml), since the
voice, the microphone and every verb run in one.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

FLOOR = 0.85
"""Share of lines and branches of a room that the tests must reach."""


def by_room(report: dict[str, dict[str, dict[str, dict[str, int]]]]) -> dict[str, float]:
    """Return each room's share, from coverage's report in JSON."""
    reached, there = Counter[str](), Counter[str]()
    for name, file in report["files"].items():
        parts = name.replace("\\", "/").split("/")
        room = parts[parts.index("caller") + 1].removesuffix(".py")
        summary = file["summary"]
        reached[room] += summary["covered_lines"] + summary["covered_branches"]
        there[room] += summary["num_statements"] + summary["num_branches"]
    return {room: reached[room] / there[room] for room in sorted(there) if there[room]}


def main(path: str) -> int:
    """Tell every room's share; fail where one is below the floor."""
    shares = by_room(json.loads(Path(path).read_text(encoding="utf-8")))
    for room, share in shares.items():
        print(f"{room:12} {share:6.1%}{'' if share >= FLOOR else f'  below {FLOOR:.0%}'}")
    return 0 if min(shares.values()) >= FLOOR else 1


if __name__ == "__main__":
    raise SystemExit(main(*sys.argv[1:]))
