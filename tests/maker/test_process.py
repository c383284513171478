from __future__ import annotations

import sys
import time

import pytest

from caller.maker.process import ProgramBeside

GRUMBLES = "import sys\nfor _ in range(5000): print('underrun ' * 20, file=sys.stderr)\n"


def test_a_program_that_grumbles_is_not_held_up_and_its_last_line_is_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    program = f"{GRUMBLES}print('There is no lesson here.', file=sys.stderr)\nraise SystemExit(2)"
    monkeypatch.setattr("caller.maker.process.own_program", lambda: [sys.executable, "-c", program])
    beside = ProgramBeside("run")
    give_up_s = time.monotonic() + 30.0
    while not beside.ended() and time.monotonic() < give_up_s:
        time.sleep(0.02)
    assert (beside.exit_code, beside.complaint()) == (2, "There is no lesson here.")
