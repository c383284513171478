from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest

from caller.errors import UserError
from caller.export import formats
from caller.export.formats import WRITERS, Finished, Job, Options, export, export_all, writer_for
from caller.export.programme import Programme


@pytest.mark.parametrize("suffix", WRITERS)
def test_every_ending_has_a_writer_that_can_write(suffix: str) -> None:
    writer = writer_for(Path(f"lesson{suffix.upper()}"))
    assert callable(import_module(writer.module).write)
    assert len(writer.purpose) > 10


def test_an_unknown_ending_is_told_with_the_known_ones() -> None:
    with pytest.raises(UserError) as told:
        writer_for(Path("lesson.avi"))
    assert str(told.value) == (
        '"lesson.avi" does not say what to write: end its name in '
        ".mp4, .webm, .wav, .flac, .mp3, .m4a, .vtt, .srt, .pdf, .html."
    )


def test_captions_are_written_to_their_name(programme: Programme, tmp_path: Path) -> None:
    export(Job(programme=programme), tmp_path / "lesson.vtt")
    assert (tmp_path / "lesson.vtt").read_text("utf-8").startswith("WEBVTT\n\n00:00:00.000 --> ")
    assert len(list(tmp_path.iterdir())) == 1


def test_everything_is_written_once_and_only_what_is_missing_again(
    programme: Programme, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(formats, "WRITERS", {suffix: WRITERS[suffix] for suffix in (".flac", ".vtt", ".srt")})

    folder = tmp_path / "made" / "for it"

    def written(options: Options, *, replace: bool = False) -> list[str]:
        jobs = lambda _: Job(programme=programme, options=options)  # noqa: E731
        return [path.name for path in export_all(jobs, folder, "lesson", replace=replace)]

    assert written(Options()) == ["lesson.flac", "lesson.vtt", "lesson.srt"]
    assert written(Options()) == []
    (folder / "lesson.vtt").unlink()
    assert written(Options()) == ["lesson.vtt"]
    (folder / "lesson.vtt").unlink()
    (folder / "lesson.srt").write_text("mine now")
    with pytest.raises(UserError, match="is there already"):
        written(Options())
    assert not (folder / "lesson.vtt").exists()  # nothing is written before all is known to be right
    assert (folder / "lesson.srt").read_text() == "mine now"
    assert written(Options(theme="dark"), replace=True) == ["lesson.flac", "lesson.vtt", "lesson.srt"]


def test_a_folder_knows_what_was_finished_in_it(tmp_path: Path) -> None:
    target = tmp_path / "lesson.mp3"
    target.write_text("sound")
    Finished(tmp_path).add(target, "a1")
    assert Finished(tmp_path).holds(target, "a1")
    assert not Finished(tmp_path).holds(target, "b2")
    target.write_text("cut")
    assert not Finished(tmp_path).holds(target, "a1")


def test_a_damaged_note_forgets(tmp_path: Path) -> None:
    target = tmp_path / "lesson.mp3"
    target.write_text("sound")
    (tmp_path / ".finished.json").write_text("{")
    assert not Finished(tmp_path).holds(target, "a1")
