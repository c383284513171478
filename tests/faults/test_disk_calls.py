"""Any call to the disk may fail: a sample of the cases that `benchmarks.disk_faults` makes, all of them."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SAMPLE = ("dial", "new lesson", "record, a table", "record backup", "record forget", "hall measure")

pytestmark = [
    pytest.mark.endtoend,
    pytest.mark.skipif(
        sys.platform != "linux" or not shutil.which("cc"), reason="needs Linux and a compiler"
    ),
]


@pytest.mark.timeout(600)
def test_a_call_that_fails_is_told_by_the_rule_and_what_was_there_is_whole(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    command = [sys.executable, "-m", "benchmarks.disk_faults", *SAMPLE, "--share", "0.12", "--to", str(page)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    total = page.read_text(encoding="utf-8").splitlines()[-1].split("|")
    assert int(total[5]) > 15  # as many cases as said were tried
    assert int(total[9]) == 0
