"""A class that the record knows hears one safety sentence and moves; a new one hears how it goes.

Seconds are summed here from the calls and a quiet voice's lengths, without the program's own notion of
movement.
"""

from __future__ import annotations

import re
import time
from contextlib import nullcontext
from pathlib import Path
from typing import Any, cast

import pytest

from caller.cli import main
from caller.cli import plan as plan_verb
from caller.cli import run as run_verb
from caller.lesson.library import read_lesson
from caller.live.performance import PlanToLead
from caller.live.performance.presses import Ending
from caller.live.room import Room
from caller.live.start import startscreen
from caller.live.start.standing_in import LessonTaken
from caller.maker import workshop
from caller.planning.staging import stage_of
from caller.record.files import record_path
from caller.record.store import Store
from caller.runsheet import RunSheet
from caller.timeline import seconds_of
from tests.planning.fakes import quiet_lengths
from tests.record.conftest import a_round

SCRIPT = """
title = "Later"
class = "Terns"
step = "elapsed"
minutes = 15
age = 8

[opening]
warm_up_seconds = 120

[practice]
skip = true

[[round]]
kind = "later"
time = "8:30"
change_minutes = 45

[[round]]
time = "9:15"
"""


class Led:
    """Stands for the hall: keeps what would have been led, and goes on at once."""

    sheets: list[RunSheet]

    def __init__(self, _room: object, plan: PlanToLead) -> None:
        Led.sheets.append(plan.run_sheet)

    def run(self) -> Ending:
        return Ending.SKIPPED


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "data"))
    Led.sheets = []
    for module in (run_verb, startscreen):
        monkeypatch.setattr(module, "Performance", Led)
    monkeypatch.setattr(startscreen, "show_what_happened", lambda *_: None)
    monkeypatch.setattr(plan_verb, "spoken_lengths", lambda _expected: nullcontext(quiet_lengths()))


@pytest.fixture
def script(tmp_path: Path) -> Path:
    path = tmp_path / "later.toml"
    path.write_text(SCRIPT, encoding="utf-8")
    return path


def keep_a_lesson(class_name: str = "Terns", *, rounds: int = 1) -> None:
    with Store() as store:
        began_s = time.time() - 1000
        number = store.begin(
            class_name=class_name, title="Quarters", began_s=began_s, planned_s=None, stand_in=False,
            run_sheet="{}", branches="{}",
        )  # fmt: skip
        for each in range(rounds):
            store.keep(number, a_round(each + 1, "7:45", "8:45", None, began_s + 60))
        store.end(number, began_s + 900, "ended")


def standing_first_s(sheet: RunSheet) -> float:
    """Return the time without movement before the first clock; a warm-up flows from move to move."""
    standing, before = 0.0, ""
    for layout in quiet_lengths().layouts(sheet):
        call = layout.call
        if call.round is not None:
            break
        moving = call.kind == "warm-up"
        standing += 0.0 if moving and before == "warm-up" else seconds_of(layout.length)
        standing -= call.hold_s if moving and before != "warm-up" else 0.0
        before = call.kind
    return standing


def safety_sentences(sheet: RunSheet) -> int:
    return sum(len(call.lines) for call in sheet.calls if call.kind == "safety")


def by_command(script: Path) -> RunSheet:
    assert main(["run", str(script), "--mute", "--window"]) == 0
    return Led.sheets[-1]


def by_start_screen(script: Path) -> RunSheet:
    taken = LessonTaken(lesson=read_lesson(script), folder=script.parent)
    startscreen._lead_taken(cast(Room, object()), taken)
    return Led.sheets[-1]


ENTRANCES: list[Any] = [by_command, by_start_screen]


@pytest.mark.parametrize("entrance", ENTRANCES)
def test_a_known_class_is_on_the_move_within_45_seconds_and_a_new_one_within_90(
    entrance: Any, script: Path
) -> None:
    new = entrance(script)
    assert standing_first_s(new) <= 90
    assert safety_sentences(new) > 1
    keep_a_lesson("terns")
    known = entrance(script)
    assert standing_first_s(known) <= 45
    assert safety_sentences(known) == 1
    assert "Each answer has a move." not in " ".join(
        line.written for call in known.calls for line in call.lines
    )


def test_the_lesson_maker_tells_the_minutes_that_a_known_class_will_have(
    script: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It neither counts the opening that a known class skips nor skips that of a new one."""
    monkeypatch.setattr(workshop, "spoken_lengths", lambda: nullcontext(quiet_lengths()))

    def told_s() -> float:
        return 60 * workshop.Workshop(script).advise().minutes

    def led_s() -> float:
        lengths = quiet_lengths().layouts(by_command(script))
        return sum(seconds_of(layout.length) for layout in lengths)

    new_s = told_s()
    assert new_s == pytest.approx(led_s(), abs=0.5)
    keep_a_lesson()
    assert told_s() == pytest.approx(led_s(), abs=0.5)
    assert told_s() < new_s - 15


def test_only_a_class_that_was_led_as_far_as_a_clock_is_known(script: Path) -> None:
    def known(name: str) -> bool:
        return stage_of("", script.parent, name).led_before

    assert not known("Terns")
    keep_a_lesson("Gannets")
    keep_a_lesson(rounds=0)  # stopped before its first clock
    assert not known("Terns")
    assert known("gannets")
    assert not known("")
    record_path().write_bytes(b"no record")
    assert not known("Gannets")  # and the lesson goes on


def test_a_plan_for_a_known_class_fits_its_period_with_the_short_opening(
    script: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    school_class = script.with_name("terns.toml")
    school_class.write_text(
        'name = "Terns"\nage = "6-7"\nstep = "quarters"\nminutes = 15\n', encoding="utf-8"
    )
    lasted: list[float] = []
    for to in ("new.toml", "known.toml"):
        written = script.with_name(to)
        assert main(["plan", str(school_class), "--to", str(written)]) == 0
        found = re.search(r"Time: (\d+):(\d+)", capsys.readouterr().out)
        assert found
        lasted.append(60 * int(found[1]) + int(found[2]))
        lesson = read_lesson(written)
        sheet = stage_of(lesson.hall, script.parent, lesson.class_name).run_sheet(lesson)
        assert standing_first_s(sheet) <= (45 if to == "known.toml" else 90)
        keep_a_lesson()
    assert all(abs(seconds - 900) <= 15 for seconds in lasted)
