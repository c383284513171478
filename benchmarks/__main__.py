"""Every figure that the README claims, beside its floor: `python -m benchmarks [NAME...] [--to FILE]`.

Without names, all of them.  Each is a module of this folder that prints its table when it is run; what a
machine lacks (a display, a sound sink) is told instead.
"""

from __future__ import annotations

import argparse
import os
import platform
import subprocess
import sys
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

NAMES = ("start", "frames", "skew", "memory", "export", "planning")
PLOTTED = ("frames", "skew")
DRAWS = find_spec("matplotlib") is not None
PAGE = Path(__file__).parents[1] / "docs" / "benchmarks.md"


def main(words: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument(
        "names", nargs="*", metavar="NAME", help=f"some of {', '.join(NAMES)}; all if left out"
    )
    parser.add_argument("--to", type=Path, default=PAGE, metavar="FILE.md", help="where the page goes")
    arguments = parser.parse_args(words)
    wrong = set(arguments.names) - set(NAMES)
    if wrong:
        parser.error(f"there is no {', '.join(sorted(wrong))}; choose from {', '.join(NAMES)}")
    parts = [_head()]
    for name in arguments.names or NAMES:
        print(f"{name} ...", file=sys.stderr)
        module = import_module(f"benchmarks.{name}")
        # The first lines of a module say what it measures, and how.
        plot = arguments.to.with_suffix("") / f"{name}.png" if name in PLOTTED and DRAWS else None
        parts.append(f"## {name}\n\n{_sentence(module.__doc__ or '')}\n\n{_measured(name, plot)}\n")
    arguments.to.write_text("\n".join(parts), encoding="utf-8")
    print(arguments.to)
    return 0


def _measured(name: str, plot: Path | None) -> str:
    """Measure in a process of its own, so that no benchmark finds what another has loaded."""
    command = [sys.executable, "-m", f"benchmarks.{name}", *(["--plot", str(plot)] if plot else [])]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        why = done.stderr.strip().splitlines()[-1] if done.stderr.strip() else f"exit code {done.returncode}"
        return f"Not measured on this machine: {why}"
    lines = [line for line in done.stdout.strip().splitlines() if not line.startswith("pygame-ce ")]
    told = "\n".join(lines)
    if not told.startswith("|"):
        told = f"```\n{told}\n```"
    return f"{told}\n\n![{name}]({plot.parent.name}/{plot.name})" if plot else told


def _sentence(text: str) -> str:
    return " ".join(text.split("\n\n", maxsplit=1)[0].split())


def _head() -> str:
    load = f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "unknown"
    system = f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors"
    machine = f"{system}, Python {platform.python_version()}"
    return (
        "# Benchmarks\n\n"
        "Made by `python -m benchmarks`; to make it again, run that on a machine with nothing else to do.\n"
        f"This page: {machine}; load {load} when it began.\n"
    )


if __name__ == "__main__":
    raise SystemExit(main())
