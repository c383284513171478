"""Fuzz every reader in turn, coverage-guided, and write down how many cases found what.

    python -m pip install atheris
    python tests/fuzz/campaign.py [--cases 1000000] [--work FOLDER] [--to docs/fuzzing.md]

A million cases take about an hour on one core. FOLDER keeps the cases that reach new code for the next
time, and each reader's own log.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[2]
SHARES: Final = {
    "lesson": 0.30, "hall": 0.13, "class": 0.13, "manifest": 0.12, "controls": 0.10, "tone": 0.06,
    "clip": 0.06, "note": 0.04, "record": 0.02, "units": 0.02, "keys": 0.02,
}  # fmt: skip
"""The share of each reader: the more it can be told, the more it is asked."""

LONGEST: Final = {"tone": 3_000, "record": 24_000, "units": 24_000, "keys": 400}  # bytes
HEAD: Final = """# Fuzzing

Every door that a stranger's bytes come through, fuzzed with Atheris (coverage-guided, Apache-2.0) from good
files on. A case is a find if it raises anything but the one clear sentence that `tests/fuzz/readers.py`
checks, takes longer than 30 s, or needs more than 600 MB, the fuzzer included. To make this page again:

    python -m pip install atheris
    python tests/fuzz/campaign.py

What fuzzing found on the way is in `tests/fuzz/test_finds.py`, each with the test that keeps it mended.

| reader | cases | branches reached | finds |
|---|---|---|---|
"""


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--cases", type=int, default=1_000_000)
    parser.add_argument("--work", type=Path, default=Path(".fuzzing"), metavar="FOLDER")
    parser.add_argument("--to", type=Path, default=ROOT / "docs" / "fuzzing.md", metavar="FILE.md")
    arguments = parser.parse_args()
    arguments.work.mkdir(parents=True, exist_ok=True)
    rows, total, found = [], 0, 0
    for reader, cases, reached, finds in _fuzzed(arguments.cases, arguments.work):
        sys.stderr.write(f"{reader}: {cases:,} cases, {finds} finds\n")
        rows.append(f"| {reader} | {cases:,} | {reached:,} | {finds} |")
        total, found = total + cases, found + finds
    rows.append(f"| all | {total:,} | | {found} |")
    arguments.to.write_text(HEAD + "\n".join(rows) + "\n", encoding="utf-8")
    return 1 if found else 0


def _fuzzed(cases: int, work: Path) -> Iterator[tuple[str, int, int, int]]:
    """Yield each reader with how many cases it had, how many branches they reached, and how many finds."""
    for seed, (reader, share) in enumerate(SHARES.items(), start=1):
        log = work / f"{reader}.log"
        with log.open("wb") as stream:
            done = subprocess.run(
                [
                    sys.executable,
                    str(Path(__file__).with_name("coverage_guided.py")),
                    reader,
                    str(work / reader),
                    f"-runs={round(cases * share)}",
                    f"-seed={seed}",
                    f"-max_len={LONGEST.get(reader, 6_000)}",
                    "-timeout=30",
                    "-rss_limit_mb=600",
                    f"-artifact_prefix={work}/find-{reader}-",
                ],
                stdout=stream,
                stderr=subprocess.STDOUT,
                check=False,
            )
        counts = re.findall(rb"^#(\d+)\s.*\bcov: (\d+)", log.read_bytes(), re.MULTILINE)
        if not counts:
            raise SystemExit(f"{reader} was not fuzzed; {log} says why.")
        ran, reached = counts[-1]
        yield reader, int(ran), int(reached), int(done.returncode != 0)


if __name__ == "__main__":
    raise SystemExit(main())
