"""Which lessons there are, and how to begin a new one; the examples that people copy are right."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

import pytest

from caller.cli import main
from caller.clock.ladder import STEP_CODES
from caller.hall.hallfile import read_hall
from caller.lesson.library import find_lesson, own_folder, ready_lessons
from caller.planning.classfile import read_class

README = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
LESSON, CLASS = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
OWN = 'title = "Gulls by the quarter"\nstep = "quarters"\nminutes = 7\n[[round]]\ntime = "4:45"\n'


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)


def test_the_lessons_stand_in_the_order_of_the_ladder(capsys: pytest.CaptureFixture[str]) -> None:
    own_folder().mkdir(parents=True)
    (own_folder() / "gulls.toml").write_text(OWN, encoding="utf-8")
    (own_folder() / "broken.toml").write_text("title = ", encoding="utf-8")
    assert main(["lessons", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {each["name"] for each in told} == {*ready_lessons(), "gulls", "broken"}
    rungs = [STEP_CODES.index(each["step"]) for each in told if "step" in each]
    assert rungs == sorted(rungs)
    gulls = next(each for each in told if each["name"] == "gulls")
    assert (gulls["own"], gulls["title"], gulls["ages"], gulls["minutes"]) == (
        True,
        "Gulls by the quarter",
        "6-8",  # England year 2, CCSS grade 2 and ACARA year 2, as tests/reference has them
        7,
    )
    assert main(["lessons"]) == 0
    page = capsys.readouterr().out
    assert re.search(r"^  gulls \* +Gulls by the quarter +6-8 +7$", page, re.MULTILINE)
    assert re.search(r"^Cannot be used: .*broken\.toml: broken\.toml, line 1", page, re.MULTILINE)


@pytest.mark.parametrize("wanted", ["O'clock to quarters", "o’clock  to QUARTERS", "demo"])
def test_a_title_names_a_lesson_too(wanted: str) -> None:
    assert find_lesson(wanted) == ready_lessons()["demo"]


def test_a_title_of_two_lessons_is_asked_about(capsys: pytest.CaptureFixture[str]) -> None:
    own_folder().mkdir(parents=True)
    for name in ("one", "two"):
        (own_folder() / f"{name}.toml").write_text(OWN, encoding="utf-8")
    assert main(["show", "Gulls by the quarter"]) == 2
    assert capsys.readouterr().err == (
        'hall-caller: 2 lessons are called "Gulls by the quarter": choose one by its name, "one", "two".\n'
    )
    assert find_lesson("two") == own_folder() / "two.toml"


def test_the_new_lesson_passes_its_own_check(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", "lesson", "--to", "monday.toml"]) == 0
    assert main(["check", "monday.toml"]) == 0, capsys.readouterr()
    assert "No errors." in capsys.readouterr().out


def test_the_new_class_and_the_new_hall_can_be_used() -> None:
    assert main(["new", "class", "--to", "terns.toml"]) == 0
    assert main(["new", "hall", "--to", "ours.toml"]) == 0
    assert read_class(Path("terns.toml")).name == "Terns"
    assert read_hall(Path("ours.toml")).name == "our hall"
    assert main(["hall", "ours.toml"]) == 0


@pytest.mark.parametrize("kind", ["lesson", "class", "hall"])
def test_every_line_of_an_example_says_what_it_is_for(kind: str) -> None:
    main(["new", kind, "--to", "example.toml"])
    text = Path("example.toml").read_text("utf-8")
    assert text.count("#") >= len([line for line in text.splitlines() if "=" in line]) / 2
    assert "{" not in text.replace("{ kind", "")
    assert "hall-caller" in text.splitlines()[0] + text.splitlines()[1]


@pytest.mark.parametrize("kind", ["lesson", "class", "hall"])
def test_nothing_is_written_over_unasked(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    Path("mine.toml").write_text("mine")
    assert main(["new", kind, "--to", "mine.toml"]) == 2
    assert capsys.readouterr().err.endswith("is there already. Choose another name, or add --replace.\n")
    assert Path("mine.toml").read_text() == "mine"
    assert main(["new", kind, "--to", "mine.toml", "--replace"]) == 0
    assert main(["new", kind, "--to", "mine.txt"]) == 2


def test_the_examples_of_the_readme_are_right(capsys: pytest.CaptureFixture[str]) -> None:
    Path("lesson.toml").write_text(LESSON, encoding="utf-8")
    assert main(["check", "lesson.toml"]) == 0, capsys.readouterr()
    Path("terns.toml").write_text(CLASS, encoding="utf-8")
    assert read_class(Path("terns.toml")).age == (6, 7)


def test_about_tells_what_a_report_of_a_fault_needs(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    assert main(["about", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {"hall-caller", "Python", "system", "packages", "voice", "displays"} <= told.keys()
    assert told["packages"]["numpy"] != "missing"
    assert str(Path.home()) not in json.dumps(told)


def test_about_tells_what_the_cache_holds_and_may_hold(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    clips = tmp_path / "hall-caller" / "speech"
    clips.mkdir(parents=True)
    for number in range(3):
        (clips / f"{number}.clip").write_bytes(bytes(1_000_000))
    assert main(["about", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["in the cache"] == ["speech: 3 files, 3 MB of at most 500 MB"]


def test_about_tells_the_rest_where_a_library_is_broken(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "caller.sound.kept_voice", None)  # as where numpy cannot be loaded
    assert main(["about", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["in the cache"][0].startswith("not told (ModuleNotFoundError")
    assert told["hall-caller"]
