"""The drawing library: loaded when something is drawn, and its absence told once and in words."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from caller.screen.skia_door import MENDING


def _python(code: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        cwd=folder,
        env=os.environ | {"SDL_VIDEODRIVER": "dummy"},
        timeout=60,
    )


@pytest.mark.parametrize(
    "typed",
    [
        "dial 3:15 --to dial.png",
        "show demo --call 1 --to call.png",
        "moves march --to moves.png",
        "run demo --mute --window",
    ],
)
def test_a_missing_drawing_library_is_one_sentence_that_names_the_mending(typed: str, tmp_path: Path) -> None:
    code = "import sys; sys.modules['skia'] = None\nfrom caller.cli import main\n"
    code += f"sys.exit(main({typed.split()!r}))"
    told = _python(code, tmp_path)
    assert (told.stderr.strip(), told.returncode) == (f"hall-caller: {MENDING}", 1)
    assert not list(tmp_path.iterdir())
    assert MENDING == (
        "The drawing library (skia-python) cannot load: on Debian or Ubuntu run "
        "`sudo apt install libegl1 libgl1`, elsewhere `pip install --force-reinstall skia-python`."
    )


def test_a_lesson_is_decided_and_worded_before_the_drawing_library_is_loaded(tmp_path: Path) -> None:
    code = "import sys\nimport caller.cli.run\nprint('skia' in sys.modules)\n"
    code += "from caller.screen.skia_door import skia\nskia.Paint()\nprint('skia' in sys.modules)"
    assert _python(code, tmp_path).stdout.split()[-2:] == ["False", "True"]
