from __future__ import annotations

from pathlib import Path

import pytest

from caller.errors import MachineError, NotFoundError
from caller.export.files import Finished, replacing


def test_a_file_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "lesson.mp4"
    target.write_text("the old one")
    with replacing(target) as unfinished:
        unfinished.write_text("the new")
        assert target.read_text() == "the old one"
        assert unfinished.suffix == ".mp4"
    assert target.read_text() == "the new"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("error", [KeyboardInterrupt, RuntimeError])
def test_whatever_ends_the_writing_leaves_the_old_file_and_no_other(
    tmp_path: Path, error: type[BaseException]
) -> None:
    target = tmp_path / "lesson.mp4"
    target.write_text("the old one")

    def end() -> None:
        with replacing(target) as unfinished:
            unfinished.write_text("half")
            raise error

    with pytest.raises(error):
        end()
    assert target.read_text() == "the old one"
    assert list(tmp_path.iterdir()) == [target]


def test_what_a_killed_process_left_is_written_over(tmp_path: Path) -> None:
    target = tmp_path / "lesson.mp4"
    with replacing(target) as unfinished:
        name = unfinished
        unfinished.write_text("whole")
    name.write_text("left by a killed process")
    with replacing(target) as unfinished:
        assert unfinished == name
        unfinished.write_text("new")
    assert list(tmp_path.iterdir()) == [target]


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    target = tmp_path / "away" / "lesson.mp4"
    with pytest.raises(NotFoundError) as told, replacing(target):
        pass
    assert str(told.value) == f'There is no folder "{target.parent}" to write lesson.mp4 to. Make it first.'


def test_a_full_disk_is_told(tmp_path: Path) -> None:
    target = tmp_path / "lesson.mp4"
    with pytest.raises(MachineError) as told, replacing(target):
        raise OSError(28, "any words")
    assert str(told.value) == f'"{target}" could not be written: No space left on device.'


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


def test_no_folder_to_write_everything_to_is_told(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError) as told:
        Finished(tmp_path / "away")
    assert str(told.value) == f'There is no folder "{tmp_path / "away"}". Make it first.'
