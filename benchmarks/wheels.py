"""Which Pythons and systems the program installs on without a compiler, asked of the package index.

Run `python -m benchmarks.wheels`; it needs the network and pip 23 or newer. Each cell is
`pip download --only-binary :all:` for that Python and system of all that pyproject.toml asks for; with `--to
FILE` the table goes into the page between its marks.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import requires
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parents[1]
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
MARKS = ("<!-- wheels -->\n", "\n<!-- end of wheels -->")


@dataclass(frozen=True, slots=True)
class System:
    """A kind of computer: what it is called here, its tags on the index, and what markers see."""

    name: str
    tags: tuple[str, ...]
    system: str
    machine: str


def _linux(machine: str) -> System:
    # glibc 2.28 (2018) takes wheels made for the older ones too.
    numbered = (f"manylinux_2_{minor}_{machine}" for minor in (28, 27, 26, 24, 17))
    tags = (*numbered, f"manylinux2014_{machine}")
    return System(f"Linux {machine}", tags, "Linux", machine)


SYSTEMS = (
    _linux("x86_64"),
    _linux("aarch64"),
    System("Windows amd64", ("win_amd64",), "Windows", "AMD64"),
    System("macOS arm64", tuple(f"macosx_{major}_0_arm64" for major in (14, 13, 12, 11)), "Darwin", "arm64"),
)


def asked_for(system: System, python: str) -> list[str]:
    """Return what pip is to fetch for a system: markers are decided for it, not for the one this runs on."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    there = {
        "platform_system": system.system,
        "platform_machine": system.machine,
        "sys_platform": {"Linux": "linux", "Windows": "win32", "Darwin": "darwin"}[system.system],
        "python_version": python,
        "extra": "",
    }
    wanted = [Requirement(each) for each in project["dependencies"]]
    # pip leaves out what only the other system's engine needs, so those are asked for by name.
    wanted += [Requirement(each) for each in requires("pyttsx3") or ()]
    chosen = [each for each in wanted if each.marker is None or each.marker.evaluate(there)]
    return [f"{each.name}{each.specifier}" for each in chosen]


def trouble(system: System, python: str) -> str:
    """Return why not everything can be had as wheels for a system; nothing where it can."""
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(
            [
                *(
                    sys.executable,
                    "-m",
                    "pip",
                    "download",
                    "--quiet",
                    "--only-binary",
                    ":all:",
                    "--dest",
                    folder,
                ),
                *("--python-version", python, "--implementation", "cp"),
                *("--abi", f"cp{python.replace('.', '')}", "--abi", "abi3", "--abi", "none"),
                *(word for tag in system.tags for word in ("--platform", tag)),
                *asked_for(system, python),
            ],
            capture_output=True,
            text=True,
            check=False,
        )
    if done.returncode == 0:
        return ""
    missing = re.search(r"No matching distribution found for ([\w.-]+)", done.stderr)
    return missing[1] if missing else done.stderr.strip().splitlines()[-1]


def rows() -> Iterator[str]:
    """Yield the lines of the table."""
    yield f"| | {' | '.join(f'Python {python}' for python in PYTHONS)} |"
    yield "|---" * (len(PYTHONS) + 1) + "|"
    for system in SYSTEMS:
        cells = [trouble(system, python) for python in PYTHONS]
        yield f"| {system.name} | {' | '.join(f'no: {cell}' if cell else 'yes' for cell in cells)} |"


def main() -> int:
    """Ask, tell, and write."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.wheels", description=__doc__)
    parser.add_argument("--to", type=Path, metavar="FILE.md", help="the page the table goes into")
    page = parser.parse_args().to
    table = "\n".join(rows())
    print(table)
    if page is not None:
        before, _, rest = page.read_text(encoding="utf-8").partition(MARKS[0])
        after = rest.partition(MARKS[1])[2]
        page.write_text(f"{before}{MARKS[0]}\n{table}\n{MARKS[1]}{after}", encoding="utf-8")
    return 1 if "| no:" in table else 0


if __name__ == "__main__":
    raise SystemExit(main())
