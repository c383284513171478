"""The lesson on the workbench, without any window."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from caller.clock import ClockTime
from caller.deciding.circumstances import conditions_of
from caller.errors import CallerError, UserError
from caller.lesson.library import lesson_from_text, read_lesson, ready_lessons
from caller.maker.script import only_here
from caller.maker.workshop import Workshop
from caller.moves.pairs import objections
from caller.planning.checks import look_over
from caller.planning.lengths import spoken_lengths
from caller.planning.staging import rehearse_file

OWN = """\
# for Tuesday
title = "Gulls by the quarter"
class = "Gulls"
step = "quarters"

[opening]
warm_up_seconds = 30   # short

# the hard one
[[round]]
time = "4:45"
wrong = "5:45"

[[round]]
time = "7:30"
"""


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    (tmp_path / "gulls.toml").write_text(OWN, encoding="utf-8")
    return tmp_path / "gulls.toml"


def test_changes_are_made_taken_back_and_made_again_and_notes_stay(path: Path) -> None:
    bench = Workshop(path)
    bench.set_time(0, ClockTime(5, 15))
    bench.move_round(0, 1)
    bench.add_round(2)
    bench.set_lesson("minutes", 12)
    made = bench.text
    assert [str(each.time) for each in bench.lesson.rounds][:2] == ["7:30", "5:15"]
    assert bench.lesson.rounds[1].wrong == ()  # it was picked for another clock
    assert all(note in made for note in ("# for Tuesday", "# short", "# the hard one"))
    for _ in range(4):
        bench.undo()
    assert bench.text == OWN
    assert not bench.can_undo
    for _ in range(4):
        bench.redo()
    assert bench.text == made
    bench.save(path, replace=True)
    assert read_lesson(path) == bench.lesson


def test_one_drag_of_a_hand_is_undone_at_once_and_two_one_by_one(path: Path) -> None:
    bench = Workshop(path)
    for minute in (0, 15, 30):
        bench.set_time(1, ClockTime(8, minute))
    bench.settle()
    bench.set_time(1, ClockTime(9, 0))
    bench.undo()
    assert str(bench.lesson.rounds[1].time) == "8:30"
    bench.undo()
    assert bench.text == OWN


def test_nothing_is_lost_by_closing_and_the_file_is_as_it_was_until_it_is_saved(path: Path) -> None:
    first = Workshop(path)
    first.set_time(0, ClockTime(10, 0))
    assert path.read_text(encoding="utf-8") == OWN
    again = Workshop(path)
    assert again.carried_on
    assert again.text == first.text
    again.undo()
    assert again.text == OWN
    again.redo()
    again.save(path, replace=True)
    assert not Workshop(path).carried_on


def test_what_a_lesson_may_not_be_cannot_be_made(path: Path) -> None:
    bench = Workshop(path)
    with pytest.raises(CallerError, match="right reading"):
        bench.set_wrong(1, [ClockTime(7, 30)])
    with pytest.raises(CallerError):
        bench.set_moves(0, ["tree", "no-such-move"])
    assert bench.text == OWN
    assert not bench.can_undo


def test_a_file_that_is_there_is_not_written_over_unasked(path: Path) -> None:
    with pytest.raises(UserError):
        Workshop(None, title="Terns").save(path, replace=False)
    assert path.read_text(encoding="utf-8") == OWN


def test_a_ready_lesson_is_opened_as_a_copy() -> None:
    bench = Workshop(ready_lessons()["demo"])
    assert bench.path is None
    assert bench.text == ready_lessons()["demo"].read_text(encoding="utf-8")


@pytest.mark.parametrize("name", sorted(ready_lessons()))
def test_every_ready_lesson_can_be_opened(name: str) -> None:
    bench = Workshop(ready_lessons()[name])
    last = len(bench.rounds) - 1
    assert bench.rounds[last].question.time.minute in bench.allowed_minutes(last)
    offered = {each.time for each in bench.offers(last, "fr")}
    assert not offered or offered >= {each.time for each in bench.rounds[last].question.wrong}


def test_wrong_readings_stand_best_first_and_each_can_be_picked(path: Path) -> None:
    bench = Workshop(path)
    offers = bench.offers(0, "en-GB")
    assert offers[0].child  # a documented mix-up comes before a mere neighbour
    documented = [bool(each.child) for each in offers]
    assert documented == sorted(documented, reverse=True)
    for offer in offers:
        bench.set_wrong(0, [offer.time])
        assert [each.time for each in bench.rounds[0].question.wrong] == [offer.time]


def test_moves_that_fit_come_first_and_those_that_do_not_say_why(path: Path) -> None:
    bench = Workshop(path)
    other = bench.rounds[0].moves[1].slug
    offers = bench.move_offers(0, 0)
    refused = [bool(each.reason) for each in offers]
    assert refused == sorted(refused)
    assert {True, False} == set(refused)
    for offer in offers:
        if not offer.reason:
            bench.set_moves(0, [offer.move.slug, other])
            assert bench.rounds[0].moves[0] is offer.move
    assert not objections(offers[0].move.slug, other, conditions=conditions_of(bench.lesson))


def test_the_advice_is_that_of_check(path: Path) -> None:
    bench = Workshop(path)
    told = bench.advise()
    with spoken_lengths() as lengths:
        rehearsal = rehearse_file(path, lengths)
    assert told.minutes == pytest.approx(rehearsal.length_s / 60)
    assert [*told.errors, *told.sentences] == [each.sentence() for each in look_over(rehearsal)]
    assert told.clocks == 2


def test_what_is_tried_out_is_the_lesson_without_its_class(path: Path) -> None:
    bench = Workshop(path)
    bench.set_time(0, ClockTime(10, 0))
    tried = read_lesson(bench.trial())
    assert tried.class_name == ""
    assert tried.rounds == bench.lesson.rounds


def test_a_new_lesson_in_the_place_of_an_unsaved_one_can_be_taken_back() -> None:
    bench = Workshop(None, title="Terns")
    bench.set_time(0, ClockTime(3, 15))
    before = bench.text
    bench.start_over("Gulls", "fr")
    assert lesson_from_text(bench.text).language == "fr"
    bench.undo()
    assert bench.text == before


def test_the_model_needs_no_window() -> None:
    """In a process of its own, since another test may have loaded Qt."""
    code = (
        "import sys, caller.maker.workshop, caller.cli.make; print([m for m in sys.modules if 'PySide' in m])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_what_another_program_wrote_is_taken_over_and_undo_brings_this_one_back(path: Path) -> None:
    bench = Workshop(path)
    assert not bench.look_outside()
    bench.set_time(0, ClockTime(5, 15))
    mine = bench.text
    path.write_text(OWN.replace("7:30", "9:15"), encoding="utf-8")
    with pytest.raises(UserError, match="changed by another program"):
        bench.save(path, replace=True)
    assert [str(each.time) for each in bench.lesson.rounds] == ["4:45", "9:15"]
    assert "9:15" in path.read_text(encoding="utf-8")  # nothing of it is lost
    bench.undo()
    assert bench.text == mine
    bench.save(path, replace=True)
    assert path.read_text(encoding="utf-8") == mine
    assert not bench.look_outside()


def test_a_script_spoilt_outside_is_told_and_this_one_stays(path: Path) -> None:
    bench = Workshop(path)
    path.write_text("title = ", encoding="utf-8")
    with pytest.raises(CallerError):
        bench.look_outside()
    assert bench.text == OWN


@pytest.mark.skipif(sys.platform == "win32", reason="asks the lock of another process by a pipe")
def test_a_script_is_open_in_one_window_only(path: Path) -> None:
    hold = (
        "import sys; from pathlib import Path; from caller.maker.script import only_here;"
        "held = only_here(Path(sys.argv[1])); print('held', flush=True); sys.stdin.read()"
    )
    other = subprocess.Popen(
        [sys.executable, "-P", "-c", hold, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert other.stdout is not None
    assert other.stdout.readline().strip() == b"held"
    with pytest.raises(UserError, match="another window"):
        only_here(path)
    other.communicate()
    only_here(path).let_go()
