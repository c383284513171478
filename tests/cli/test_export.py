from __future__ import annotations

from pathlib import Path

import pytest

from caller.cli import main
from caller.export.formats import WRITERS


def test_help_tells_what_every_ending_is_for_and_under_which_licence(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["export", "--help"])
    told = capsys.readouterr().out
    assert ended.value.code == 0
    for suffix, writer in WRITERS.items():
        assert f"{suffix:<7}{writer.purpose}" in told
    assert "GNU General Public License" in told


def test_an_unknown_ending_is_told_before_anything_is_made(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", "demo", "--to", "lesson.avi"]) == 2
    assert capsys.readouterr().err == (
        'caller: "lesson.avi" does not say what to write: end its name in '
        ".mp4, .webm, .wav, .flac, .mp3, .m4a, .vtt, .srt, .pdf, .html.\n"
    )


def test_either_a_file_or_a_folder_has_to_be_named(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["export", "demo"])
    assert ended.value.code == 2
    assert "one of the arguments --to --all is required" in capsys.readouterr().err


def test_captions_of_the_ready_lesson_are_written_with_a_plain_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "demo.srt"
    assert main(["export", "demo", "--to", str(target)]) == 0
    told = capsys.readouterr()
    assert told.out == f"Wrote {target}.\n"
    assert told.err == "Writing demo.srt ...\n"
    assert target.read_text("utf-8").startswith("1\n00:00:0")
