from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from caller.cli import check, main
from caller.planning.lengths import SpokenLengths
from tests.planning.fakes import quiet_lengths

SOUND = """\
title = "Quarters"
step = "quarters"
seed = 4
[opening]
warm_up = ["shoulder-rolls", "march"]
warm_up_seconds = 130
[practice]
skip = true
[[round]]
time = "4:15"
moves = ["squats", "standing-punches"]
[[round]]
time = "9:45"
moves = ["sky-reach", "forward-fold"]
[close]
breaths = 5
"""


@pytest.fixture(autouse=True)
def _quiet(monkeypatch: pytest.MonkeyPatch) -> None:
    @contextmanager
    def quietly() -> Iterator[SpokenLengths]:
        yield quiet_lengths()

    monkeypatch.setattr(check, "spoken_lengths", quietly)


def _file(folder: Path, content: str | bytes) -> str:
    path = folder / "mine.toml"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return str(path)


def test_a_sound_lesson_ends_with_0_and_tells_its_length_and_effort(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", _file(tmp_path, SOUND)]) == 0
    first, advice, last = capsys.readouterr().out.splitlines()
    assert " and half is the goal. " in advice  # two clocks make no lesson
    assert first.startswith(f"{tmp_path / 'mine.toml'}: ")
    assert " with 2 rounds. " in first
    assert first.endswith("(moderate from 3 METy); the guideline is 50%.")
    assert last == "  No errors."


def test_advice_alone_still_ends_with_0(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", _file(tmp_path, SOUND.replace("130", "20"))]) == 0
    assert "  advice  warm-up: " in capsys.readouterr().out


def test_an_error_ends_with_2_and_stands_before_advice(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = SOUND.replace("130", "20").replace('"4:15"', '"4:17"')
    assert main(["check", _file(tmp_path, broken)]) == 2
    lines = capsys.readouterr().out.splitlines()
    assert lines[1].startswith('  error   round 1: 4:17 needs the step "single minutes"')
    assert lines[2].startswith("  advice  warm-up: ")


def test_one_lesson_that_cannot_be_read_does_not_stop_the_others(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", "no-such-lesson-here", _file(tmp_path, SOUND)]) == 2
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "no-such-lesson-here: cannot be used as it stands."
    assert lines[-1] == "  No errors."


def test_json_keeps_errors_and_advice_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = _file(tmp_path, SOUND.replace("130", "20").replace('"4:15"', '"4:17"'))
    assert main(["check", "--json", path]) == 2
    (report,) = json.loads(capsys.readouterr().out)
    assert report["file"] == path
    assert report["rounds"] == 2
    assert report["length_s"] > 120
    assert 0 < report["active_share"] < 1
    assert report["active_means"] == "moderate from 3 METy"
    assert {each["check"] for each in report["errors"]} == {"precision"}
    assert [(each["check"], each["where"]) for each in report["advice"]] == [
        ("safety", "warm-up"),
        ("activity", ""),
    ]
    assert report["clocks_per_min"] == pytest.approx(120 / report["length_s"], abs=0.01)


def test_a_lesson_in_a_hall_is_timed_for_that_hall(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = _file(tmp_path, SOUND)
    echoing = tmp_path / "echoing.toml"
    echoing.write_text(f'hall = "old-gym"\n{SOUND}', encoding="utf-8")
    main(["check", "--json", path, str(echoing)])
    plain, slow = (report["length_s"] for report in json.loads(capsys.readouterr().out))
    assert slow > plain + 10


MISTAKES = {
    "a time with a point": (
        SOUND.replace('"4:15"', '"4.70"'),
        (
            'line 10, column 8: round 1, time: "4.70" is not a time: the minutes go from 00 to 59. '
            'Write hour, colon, minutes, like "4:40".'
        ),
    ),
    "a move misspelt": (
        SOUND.replace('"squats"', '"sqats"'),
        'line 11, column 10: round 1, moves 1: there is no move called "sqats". Did you mean squats?',
    ),
    "a missing bracket": (
        SOUND.replace('"standing-punches"]', '"standing-punches"'),
        "line 11, column 9: this list is not closed. Put a comma between its items and a ] at its end.",
    ),
    "curly quotes": (
        SOUND.replace('"Quarters"', "“Quarters”"),
        'line 1, column 9: these quotes are curly. Use straight quotes, like "4:40".',
    ),
    "a file of three megabytes": (
        SOUND + "# a note\n" * 340_000,
        "line 1, column 1: the file is too large for a script. Keep it under 256 kB.",
    ),
    "a picture": (
        b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR",
        "line 3, column 1: this is not a text file. Choose a text file whose name ends in .toml.",
    ),
}


@pytest.mark.parametrize(("content", "told"), MISTAKES.values(), ids=MISTAKES.keys())
def test_a_teachers_mistake_gets_one_kind_sentence_with_its_place_and_its_mending(
    content: str | bytes, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = _file(tmp_path, content)
    assert main(["check", path]) == 2
    assert capsys.readouterr().out.splitlines() == [
        f"{path}: cannot be used as it stands.",
        f"  error   {told}",
    ]


@pytest.mark.parametrize(
    "content", [SOUND.replace("\n", "\r\n"), "\ufeff" + SOUND, "\ufeff" + SOUND.replace("\n", "\r\n")]
)
def test_windows_line_ends_and_a_byte_order_mark_do_no_harm(content: str, tmp_path: Path) -> None:
    assert main(["check", _file(tmp_path, content)]) == 0


def test_a_ready_lesson_is_found_by_its_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "demo"]) == 0
    assert "demo.toml: " in capsys.readouterr().out
