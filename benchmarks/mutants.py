"""How many planted faults the tests of a room notice, for the night.

Run `python -m benchmarks.mutants ROOM`; it needs `.[test,mutation]`, and hours. mutmut plants one small fault
after another in a copy of the project and runs the tests that reach it. The share that is noticed may not
fall below the room's floor, which is what was measured once; raise it with the tests.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
FLOORS = {"questions": 0.68}
"""Share of faults noticed, by room, as measured; a room that is not here is measured and told only."""

_KEPT = ("caller", "lessons", "sounds", "stubs", "tests", "docs", "benchmarks")
_BESIDE = ("pyproject.toml", "constraints.txt", "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE")


def noticed_in(room: str, project: Path) -> tuple[int, int]:
    """Return how many faults of a room were noticed and planted, in a copy of the project at `project`."""
    ignored = shutil.ignore_patterns("__pycache__")
    for part in _KEPT:
        shutil.copytree(ROOT / part, project / part, ignore=ignored)
    for part in _BESIDE:
        shutil.copy(ROOT / part, project / part)
    with (project / "pyproject.toml").open("a", encoding="utf-8") as file:
        file.write(
            "\n[tool.mutmut]\n"
            'source_paths = ["caller/"]\n'
            f'only_mutate = ["caller/{room}/*"]\n'
            f'pytest_add_cli_args_test_selection = ["tests/{room}"]\n'
            'pytest_add_cli_args = ["-p", "no:randomly"]\n'
            f"also_copy = {json.dumps([part for part in (*_KEPT, *_BESIDE) if part != 'caller'])}\n"
        )
    for command in (["run"], ["export-cicd-stats"]):
        subprocess.run([sys.executable, "-m", "mutmut", *command], cwd=project, check=True)
    counts = json.loads((project / "mutants" / "mutmut-cicd-stats.json").read_text(encoding="utf-8"))
    noticed = counts["killed"] + counts["timeout"] + counts["segfault"] + counts["suspicious"]
    return noticed, noticed + counts["survived"] + counts["no_tests"]


def main(room: str) -> int:
    """Plant, count, and compare with the floor."""
    with tempfile.TemporaryDirectory() as folder:
        noticed, planted = noticed_in(room, Path(folder) / "project")
    share, floor = noticed / planted, FLOORS.get(room, 0.0)
    print(f"{room}: {noticed} of {planted} planted faults noticed ({share:.1%}; floor {floor:.0%})")
    return 0 if share >= floor else 1


if __name__ == "__main__":
    raise SystemExit(main(*sys.argv[1:]))
