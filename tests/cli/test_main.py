from __future__ import annotations

import subprocess
import sys

import pytest

from caller import __version__
from caller.cli import VERBS, main


def test_every_verb_explains_itself(capsys: pytest.CaptureFixture[str]) -> None:
    for verb in VERBS:
        with pytest.raises(SystemExit) as ended:
            main([verb, "--help"])
        assert ended.value.code == 0
        assert capsys.readouterr().out.startswith(f"usage: hall-caller {verb}")


def test_the_version_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--version"])
    assert capsys.readouterr().out == f"hall-caller {__version__}\n"


def test_a_lesson_that_is_not_there_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show", "dem"]) == 2
    told = capsys.readouterr().err
    assert told == 'hall-caller: There is no lesson "dem". Did you mean the ready lesson "demo"?\n'


@pytest.mark.skipif(sys.platform == "win32", reason="a closed pipe is told in another way there")
def test_a_reader_who_has_seen_enough_is_no_error() -> None:
    """`hall-caller moves | head`: the pipe closes while there is more to print."""
    command = f"{sys.executable} -m caller moves | head -n 1"
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", command], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
