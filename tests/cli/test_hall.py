from __future__ import annotations

import json
from pathlib import Path

import pytest

from caller.cli import hall as hall_verb
from caller.cli import main
from caller.hall.advice import report
from caller.hall.hallfile import preset, preset_names
from caller.hall.sweep_run import SoundArrival
from caller.live.loudspeaker import Lateness


def test_a_ready_made_hall_gets_its_page_of_advice(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["hall", "gym"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Gym"
    assert lines[4:] == [f"- {each.text}" for each in report(preset("gym")).advice]


def test_a_hall_file_is_told_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "ours.toml"
    file.write_text('name = "Lantern Bay hall"\nlike = "old-gym"\n', encoding="utf-8")
    assert main(["hall", str(file), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["name"] == "Lantern Bay hall"
    assert told["sti"] == pytest.approx(report(preset("old-gym")).sti)
    assert {"delivery", "sight_lines", "places", "loudness", "advice"} <= told.keys()


@pytest.mark.parametrize(("ending", "begins"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF-")])
def test_the_map_is_written_as_its_name_asks(tmp_path: Path, ending: str, begins: bytes) -> None:
    file = tmp_path / f"map.{ending}"
    assert main(["hall", "small-hall", "--to", str(file)]) == 0
    assert file.read_bytes().startswith(begins)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ["gim"],
            'There is no hall file and no ready-made hall called "gim". Did you mean gym?',
        ),
        (
            ["gym", "--to", "map.txt"],
            '"map.txt" does not say what picture to write: end its name in .png, .svg or .pdf.',
        ),
        (
            ["measure", "gym", "--to", "map.png"],
            '--to map.png: a hall file\'s name ends in .toml, like "hall.toml".',
        ),
        (
            ["measure", "--to", "new.toml"],
            "new.toml is not there yet: name a hall to begin from, such as `hall-caller hall measure gym`.",
        ),
        (
            ["measure", "gym", "--delay"],
            "--delay measures the loudspeaker and no hall: leave the hall and --to out.",
        ),
    ],
)
def test_a_mistake_is_told_in_one_sentence(
    words: list[str],
    said: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["hall", *words]) == 2
    assert capsys.readouterr().err == f"hall-caller: {said}\n"


@pytest.mark.parametrize("name", preset_names())
def test_every_ready_made_hall_can_be_drawn(name: str, tmp_path: Path) -> None:
    file = tmp_path / "map.png"
    assert main(["hall", name, "--to", str(file)]) == 0
    assert file.stat().st_size > 20_000


def test_a_halls_own_name_is_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "ours.toml"
    file.write_text('name = "hall of Lantern Bay"\nlike = "gym"\n', encoding="utf-8")
    assert main(["hall", str(file)]) == 0
    assert capsys.readouterr().out.startswith("Hall of Lantern Bay\n")


def timed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, late_s: float) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr(hall_verb, "WARNING_S", 0)
    arrival = SoundArrival(loudspeaker="Box in the hall", late_s=late_s)
    monkeypatch.setattr(hall_verb, "time_loudspeaker", lambda *_, **__: arrival)


@pytest.mark.parametrize(("late_s", "kept_ms"), [(0.2034, 203), (0.0004, 0), (-0.003, 0)])
def test_how_late_a_loudspeaker_was_found_is_remembered_for_it_alone(
    late_s: float,
    kept_ms: int,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    timed(monkeypatch, tmp_path, late_s)
    Lateness().change("Box in the hall", 80)
    assert main(["hall", "measure", "--delay", "--json"]) == 0
    told = capsys.readouterr()
    assert json.loads(told.out)["sound_delay_ms"] == pytest.approx(1000 * late_s, abs=0.05)
    assert "“Box in the hall” is heard" in told.err
    assert (Lateness().of("Box in the hall"), Lateness().of("desk")) == (kept_ms, 0)


@pytest.mark.parametrize("late_s", [-0.2, 0.7])
def test_a_delay_that_cannot_be_is_told_and_not_kept(
    late_s: float, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    timed(monkeypatch, tmp_path, late_s)
    assert main(["hall", "measure", "--delay"]) == 1
    assert "by ear in the sound check" in capsys.readouterr().err
    assert Lateness().of("Box in the hall") == 0
