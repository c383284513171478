"""What an installation takes on the disk, library by library, now and at an earlier commit.

Run `python -m benchmarks.size [--against COMMIT] [--extra NAME...]`; it needs a package index, and git for
the comparison. Each is what `pip install` of the project's dependencies brings, in the
versions of that commit's constraints.txt, without what Python compiles later.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Sequence
from importlib.metadata import distributions
from pathlib import Path

from benchmarks.figures import Figure, table

ROOT = Path(__file__).parents[1]


def main(words: Sequence[str] | None = None) -> list[Figure]:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.size", description=__doc__)
    parser.add_argument("--against", metavar="COMMIT", help="an earlier state, to compare with")
    parser.add_argument("--extra", nargs="*", default=[], metavar="NAME", help="extras to be installed too")
    wanted = parser.parse_args(words)
    now = sizes_mb(*_files(None), wanted.extra)
    before = sizes_mb(*_files(wanted.against), wanted.extra) if wanted.against else {}
    both = now | before
    figures = [
        Figure(
            what=name, value=now.get(name, 0.0), unit="MB", beside=_beside(before.get(name), wanted.against)
        )
        for name in sorted(both, key=both.__getitem__, reverse=True)
    ]
    total, earlier = sum(now.values()), sum(before.values())
    figures.append(
        Figure(what="all", value=total, unit="MB", beside=_beside(earlier or None, wanted.against))
    )
    if earlier:
        figures.append(
            Figure(what="less than it was", value=100 * (1 - total / earlier), unit="%", beside="25 % wanted")
        )
    return figures


def sizes_mb(project: str, constraints: str, extras: Sequence[str]) -> dict[str, float]:
    """Return what each library takes in MB, by its name, of those a pyproject.toml asks for."""
    asked = tomllib.loads(project)["project"]
    optional = asked["optional-dependencies"]
    requirements = [*asked["dependencies"], *(each for extra in extras for each in optional.get(extra, ()))]
    with tempfile.TemporaryDirectory() as folder:
        limits, target = Path(folder) / "constraints.txt", Path(folder) / "installed"
        limits.write_text(constraints, encoding="utf-8")
        pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-compile", "--no-warn-conflicts"]
        subprocess.run(
            [*pip, "--target", str(target), "-c", str(limits), *requirements],
            check=True,
            stdout=subprocess.DEVNULL,
        )
        return {
            each.name: sum(_bytes(Path(str(file.locate()))) for file in each.files or ()) / 1e6
            for each in distributions(path=[str(target)])
        }


def _bytes(file: Path) -> int:
    # Commands are listed where they would lie outside of a folder of its own, and are tiny.
    return file.stat().st_size if file.is_file() else 0


def _files(commit: str | None) -> tuple[str, str]:
    """Return pyproject.toml and constraints.txt, as they are or as they were."""
    project, constraints = (
        (ROOT / name).read_text(encoding="utf-8")
        if commit is None
        else subprocess.run(
            ["git", "show", f"{commit}:{name}"], cwd=ROOT, check=True, capture_output=True, text=True
        ).stdout
        for name in ("pyproject.toml", "constraints.txt")
    )
    return project, constraints


def _beside(before_mb: float | None, commit: str | None) -> str:
    if commit is None:
        return ""
    return f"not there at {commit}" if before_mb is None else f"{before_mb:.4g} MB at {commit}"


if __name__ == "__main__":
    print(table(main()))
