from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from caller.clock import ClockTime
from caller.clock.said_and_shown import GhostDial
from caller.lesson.library import find_lesson, read_lesson, ready_lessons
from caller.runsheet.forms import as_dict, as_json, from_dict
from caller.runsheet.sequence import make_run_sheet


@pytest.mark.parametrize("path", ready_lessons().values(), ids=lambda path: path.stem)
def test_a_run_sheet_comes_back_from_json_as_it_was(path: Path) -> None:
    sheet = make_run_sheet(read_lesson(path))
    text = as_json(sheet)
    back = from_dict(json.loads(text))
    assert back == sheet
    assert as_json(back) == text


def test_a_lesson_that_is_carried_on_waits_for_quiet_as_before() -> None:
    lesson = replace(read_lesson(find_lesson("demo")), quiet_gate_seconds=20)
    assert from_dict(as_dict(make_run_sheet(lesson))).quiet_gate_s == 20


def test_json_is_readable() -> None:
    data = as_dict(make_run_sheet(read_lesson(find_lesson("demo"))))
    assert data["class_name"] == "Terns"
    assert data["rounds"][0]["time"] == "4:00"
    assert data["calls"][0]["lines"][0]["written"] == "Hello, Terns!"
    cues = [line["cue"] for call in data["calls"] for line in call["lines"] if "cue" in line]
    assert {"shows": "GhostDial", "time": "8:30"} in cues or {"shows": "GhostDial", "time": "5:45"} in cues
    assert str(GhostDial(ClockTime(5, 45)).time) == "5:45"


@pytest.mark.parametrize(
    "data",
    [
        {},
        [],
        {"title": 5},
        {"calls": {"a": 1}},
        {"rounds": [{"time": "4:70"}]},
        {"voice": {"rate_wpm": True}},
        {"calls": [{"kind": "dance"}]},
        {"calls": [{"lines": [{"cue": {"shows": "Fireworks"}}]}]},
        {"nonsense": 1},
    ],
)
def test_what_is_no_run_sheet_is_refused(data: object) -> None:
    with pytest.raises(ValueError, match=r"not a run sheet|4:70"):
        from_dict(data)  # type: ignore[arg-type]
