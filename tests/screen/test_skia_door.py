"""The drawing library's absence, told once and in words."""

from __future__ import annotations

import subprocess
import sys

from caller.screen.skia_door import MENDING


def test_a_missing_drawing_library_is_one_sentence_that_names_the_mending() -> None:
    code = (
        "import sys; sys.modules['skia'] = None\n"
        "from caller.errors import ScreenError\n"
        "try:\n    import caller.screen.stage\n"
        "except ScreenError as error:\n    print(error)\n"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == MENDING
    assert MENDING == (
        "The drawing library (skia-python) cannot load: on Debian or Ubuntu run "
        "`sudo apt install libegl1 libgl1`, elsewhere `pip install --force-reinstall skia-python`."
    )
