"""Every figure that is told of the program, beside its floor: `python -m benchmarks [NAME...] [--to FILE]`.

Without names, all of the short ones; with names, those sections of the page are measured anew and the others
stay. Each prints its table when it is run by itself (`python -m benchmarks.start`); what a machine lacks (a
display, a sound sink) is told instead.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

from benchmarks.figures import machine

SHORT = ("start", "waiting", "frames", "beat", "skew", "memory", "export", "planning", "lessons", "libraries")
LONG = {
    "hour": ("skew", "60"),  # in real time
    "soak": ("soak",),
    "four": ("export", "--of", "four"),
    "handover": ("export", "--of", "handover"),
    "voices": ("voices",),  # needs the extra `voice`
    "pace": ("pace", "quarters"),  # the same
    "naturalness": ("naturalness",),  # needs speechmos, distillmos and the extra `voice`
    "intelligibility": ("intelligibility",),
    "knowledge": ("knowledge",),
    "claps": ("claps",),  # needs the extra `acoustics`
}
PLOTTED = ("frames", "skew")
DRAWS = find_spec("matplotlib") is not None
PAGE = Path(__file__).parents[1] / "docs" / "benchmarks.md"
HEAD = """# Benchmarks

Made by `python -m benchmarks`; to make a part again, name it, on a machine with nothing else to do. Times
depend on the machine; what stands beside them was measured or is asked for on the same one.

"""


def main(words: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    known = (*SHORT, *LONG)
    parser.add_argument(
        "names", nargs="*", metavar="NAME", help=f"some of {', '.join(known)}; {', '.join(SHORT)} if left out"
    )
    parser.add_argument("--to", type=Path, default=PAGE, metavar="FILE.md", help="where the page goes")
    arguments = parser.parse_args(words)
    wrong = set(arguments.names) - set(known)
    if wrong:
        parser.error(f"there is no {', '.join(sorted(wrong))}; choose from {', '.join(known)}")
    for name in arguments.names or SHORT:
        print(f"{name} ...", file=sys.stderr)
        module, *more = LONG.get(name, (name,))
        plot = arguments.to.with_suffix("") / f"{name}.png" if module in PLOTTED and DRAWS else None
        put_section(arguments.to, name, _section(name, module, more, plot))
    print(arguments.to)
    return 0


def put_section(page: Path, name: str, section: str) -> None:
    """Write a section into the page, in the place of an earlier one of that name."""
    text = page.read_text(encoding="utf-8") if page.exists() else ""
    found = {each.split("\n", 1)[0]: f"## {each}" for each in re.split(r"^## ", text, flags=re.MULTILINE)[1:]}
    found[name] = section
    page.parent.mkdir(parents=True, exist_ok=True)
    page.write_text(
        HEAD + "".join(found[each] for each in (*SHORT, *LONG) if each in found), encoding="utf-8"
    )


def _section(name: str, module: str, more: list[str], plot: Path | None) -> str:
    # The first lines of a module say what it measures, and how.
    says = _sentence(import_module(f"benchmarks.{module}").__doc__ or "")
    return f"## {name}\n\n{says} {machine()}\n\n{_measured(name, module, more, plot)}\n\n"


def _measured(name: str, module: str, more: list[str], plot: Path | None) -> str:
    """Measure in a process of its own, so that no benchmark finds what another has loaded."""
    command = [sys.executable, "-m", f"benchmarks.{module}", *more, *(["--plot", str(plot)] if plot else [])]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        why = done.stderr.strip().splitlines()[-1] if done.stderr.strip() else f"exit code {done.returncode}"
        return f"Not measured on this machine: {why}"
    # Of what was said on the way, only the table is of the page; some have none.
    told = "\n".join(line for line in done.stdout.splitlines() if line.startswith("|"))
    told = told or f"```\n{done.stdout.strip()}\n```"
    return f"{told}\n\n![{name}]({plot.parent.name}/{plot.name})" if plot else told


def _sentence(text: str) -> str:
    return " ".join(text.split("\n\n", maxsplit=1)[0].split())


if __name__ == "__main__":
    raise SystemExit(main())
