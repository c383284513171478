from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest

from caller.cli import export, main
from caller.cli.printing import Bar
from caller.export.formats import WRITERS, Job, Paper
from caller.export.sheet import PAPERS


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
        'hall-caller: "lesson.avi" does not say what to write: end its name in '
        ".mp4, .webm, .wav, .flac, .mp3, .m4a, .vtt, .srt, .pdf, .html.\n"
    )


def test_either_a_file_or_a_folder_has_to_be_named(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["export", "demo"])
    assert ended.value.code == 2
    assert "one of the arguments --to --all is required" in capsys.readouterr().err


def test_the_folder_for_every_kind_is_made_and_a_video_has_its_words_in_the_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As `handover` makes its folder: nobody is sent back to make one first; but not for no lesson."""
    made: list[Job] = []

    def exported(job_for: Callable[[Path], Job], folder: Path, _stem: str, *, replace: bool) -> list[Path]:
        assert folder.is_dir()
        assert not replace
        made.append(job_for(folder / "lesson.mp4"))
        return []

    monkeypatch.setattr(export, "export_all", exported)
    folder = tmp_path / "for the" / "stick"
    assert main(["export", "nothing-like-it", "--all", str(folder)]) == 2
    assert not folder.parent.exists()
    assert main(["export", "demo", "--all", str(folder)]) == 0
    assert main(["export", "demo", "--all", str(folder), "--no-captions"]) == 0
    assert [job.options.burn_captions for job in made] == [True, False]


def test_captions_of_the_ready_lesson_are_written_with_a_plain_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "demo.srt"
    assert main(["export", "demo", "--to", str(target)]) == 0
    told = capsys.readouterr()
    assert told.out == f"Wrote {target}.\n"
    assert told.err == "Writing demo.srt ...\n"
    assert target.read_text("utf-8").startswith("1\n00:00:0")


@pytest.mark.parametrize(
    ("words", "paper"),
    [((), "a4"), (("--paper", "letter"), "letter"), (("--paper", "a4"), "a4")],
)
def test_the_sheet_is_printed_on_the_paper_that_was_chosen(
    tmp_path: Path, words: tuple[str, ...], paper: Paper
) -> None:
    target = tmp_path / "demo.pdf"
    assert main(["export", "demo", "--to", str(target), *words]) == 0
    assert pypdfium2.PdfDocument(target)[0].get_size() == pytest.approx(
        PAPERS[paper], abs=0.5
    )  # whole points


def test_on_a_terminal_a_bar_grows_to_its_end_and_the_line_is_ended_once(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    bar = Bar("demo.mp4")
    for share in (0.0, 0.5, 0.995, 0.999, 1.0, 1.0):
        bar(share)
    drawn = capsys.readouterr().err
    assert drawn.count("\n") == 1
    assert drawn.endswith(f"demo.mp4 [{'#' * 40}] 100%    0 min left\n")
    assert f"[{'#' * 20}{'.' * 20}]  50%" in drawn
