from __future__ import annotations

from pathlib import Path
from typing import NoReturn

import pytest

from caller.cli import handover, main
from caller.errors import UserError
from caller.sound.voice import VoiceBox


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "data"))


def test_a_class_that_nobody_knows_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["handover", "Gannets", "--to", str(tmp_path / "new")]) == 2
    assert capsys.readouterr().err == (
        'hall-caller: There is no class "Gannets" in the record. Name its class file, such as terns.toml.\n'
    )


def test_no_old_lesson_is_mixed_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "terns.toml").write_text('name = "Terns"\n', encoding="utf-8")
    assert main(["handover", str(tmp_path / "terns.toml"), "--to", str(tmp_path)]) == 2
    assert capsys.readouterr().err == (
        f'hall-caller: "{tmp_path}" is not empty. Name a new folder, so that nothing old is mixed in.\n'
    )


def test_minutes_have_limits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "terns.toml").write_text('name = "Terns"\n', encoding="utf-8")
    words = ["handover", str(tmp_path / "terns.toml"), "--to", str(tmp_path / "new"), "--minutes", "200"]
    assert main(words) == 2
    assert capsys.readouterr().err == "hall-caller: --minutes 200: choose from 5 to 60.\n"


def test_the_voice_starts_while_the_lesson_is_planned(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    started: list[str] = []

    class Expecting(VoiceBox):
        def expect(self, language: str) -> None:
            started.append(language)

    def plan(*_: object, **__: object) -> NoReturn:
        assert started == ["de"]
        raise UserError("It was planned.")

    monkeypatch.setattr(handover, "VoiceBox", Expecting)
    monkeypatch.setattr("caller.export.handover.plan_next", plan)
    (tmp_path / "terns.toml").write_text('name = "Seeschwalben"\nlanguage = "de"\n', encoding="utf-8")
    assert main(["handover", str(tmp_path / "terns.toml"), "--to", str(tmp_path / "new")]) == 2
    assert capsys.readouterr().err.endswith("It was planned.\n")
