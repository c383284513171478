"""A lesson driven by keys: a poor tally teaches again, ends on time, and comes back in the next plan."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
import tomllib
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from caller.record import Unfinished
from caller.record.store import Store
from tests.endtoend.conftest import Screen, SoundServer, caller_command

pytestmark = [pytest.mark.endtoend, pytest.mark.timeout(3600)]

LESSON = """
title = "Half past and the quarters"
class = "Terns"
step = "quarters"
seed = 3
think_seconds = 10
[opening]
safety = false
warm_up_seconds = 0
[worked_example]
skip = true
[practice]
skip = true
[[round]]
time = "9:30"
wrong = "10:30"
[[round]]
time = "2:15"
[[round]]
time = "7:45"
[[round]]
time = "3:00"
[[round]]
time = "4:30"
"""

CLASS = """
name = "Terns"
age = "6-7"
step = "quarters"
minutes = 10
"""

FAST_CALLER = Path(__file__).with_name("fast_caller.py")
KILLS = int(os.environ.get("CALLER_KILLS", "3"))


@dataclass
class Led:
    events: list[dict[str, Any]]
    planned_s: float
    planned_calls: int
    pictures: Path


class FastCaller:
    """The program that runs lessons faster, each in a process that can be killed."""

    def __init__(self, environment: dict[str, str]) -> None:
        self._process = subprocess.Popen(
            [sys.executable, str(FAST_CALLER)],
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )

    def start(self, words: list[str]) -> int:
        """Start `hall-caller run` with these words and return its process number."""
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(words) + "\n")
        self._process.stdin.flush()
        return int(self._answer())

    def kill(self, child: int) -> None:
        """Kill a run as a power cut would, and wait until it is gone; it may have come to its end."""
        with suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
        self._answer()

    def close(self) -> None:
        """Stop the program itself."""
        self._process.communicate()

    def _answer(self) -> str:
        assert self._process.stdout is not None
        return self._process.stdout.readline()


def environment_in(folder: Path, base: dict[str, str]) -> dict[str, str]:
    return base | {"XDG_DATA_HOME": str(folder / "data")}


def events_of(log: Path) -> list[dict[str, Any]]:
    # The last line may be half written while the program runs.
    lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
    return [json.loads(line) for line in lines if line.endswith("}")]


def calls_of(events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [each for each in events if each["event"] == "call"]


def take_picture(screen: Screen, path: Path) -> None:
    """Keep what the screen shows, for people to look at, where the tool for it is installed."""
    if shutil.which("import"):
        subprocess.run(
            ["import", "-window", "root", str(path)], env=os.environ | screen.environment, check=False
        )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("terns")


@pytest.fixture(scope="module")
def led(folder: Path, screen: Screen, tmp_path_factory: pytest.TempPathFactory) -> Led:
    """Run the lesson; after the first answer press the key for "few had it"."""
    script, log = folder / "quarters.toml", folder / "log.jsonl"
    script.write_text(LESSON, encoding="utf-8")
    cache = tmp_path_factory.getbasetemp() / "cache"
    environment = environment_in(folder, os.environ | screen.environment | {"XDG_CACHE_HOME": str(cache)})
    shown = subprocess.run(
        caller_command("show", str(script), "--json"),
        env=environment, check=True, capture_output=True, text=True,
    )  # fmt: skip
    planned = json.loads(shown.stdout)
    planned_s, planned_calls = planned["starts_s"][-1], len(planned["calls"])
    run = subprocess.Popen(
        caller_command("run", str(script), "--mute", "--window", "--replace", "--log", str(log)),
        env=environment,
    )
    pressed = False
    seen: set[str] = set()
    while run.poll() is None:
        time.sleep(0.2)
        calls = calls_of(events_of(log))
        kind = calls[-1]["kind"] if calls else ""
        if not pressed and kind == "reason":
            screen.press("n")
            pressed = True
            time.sleep(0.6)
            take_picture(screen, folder / "noted.png")
        if calls and calls[-1]["number"] > planned_calls and kind not in seen:
            seen.add(kind)
            time.sleep(1.5)
            take_picture(screen, folder / f"again-{kind}.png")
    assert run.returncode == 0
    assert pressed
    return Led(events_of(log), planned_s, planned_calls, folder)


def test_a_poor_tally_teaches_the_round_again_right_after_it(led: Led) -> None:
    kinds = [(each["number"], each["kind"]) for each in calls_of(led.events)]
    again = [place for place, (number, _) in enumerate(kinds) if number > led.planned_calls]
    assert [kinds[place][1] for place in again] == [
        "reason", "ready", "question", "choices", "decide", "move", "time-up", "answer", "reason",
    ]  # fmt: skip
    assert kinds[again[0] - 1][1] == "reason"  # that was heard out; what was left of the round made way
    assert kinds[again[-1] + 1][1] == "ready"
    assert kinds[-1][1] == "close"


def test_the_lesson_still_ends_within_ten_seconds_of_its_planned_end(led: Led) -> None:
    first = next(each for each in led.events if each["event"] == "first sound")
    last = next(each for each in led.events if each["event"] == "finished")
    assert last["steady"] - first["steady"] == pytest.approx(led.planned_s, abs=10.0)


def test_the_record_holds_the_tally_with_its_mixups_and_what_was_taught_again(led: Led, folder: Path) -> None:
    with Store(folder / "data" / "hall-caller" / "record.sqlite3") as store:
        (lesson,) = store.lessons("Terns")
    assert lesson.ending == "ended"
    first = lesson.rounds[0]
    assert (first.number, str(first.time), first.tally and first.tally.judgement) == (1, "9:30", "few")
    assert first.wrong[0].mixups == {"hour-to-larger", "half-names-coming-hour"}
    (again,) = (kept for kept in lesson.rounds if kept.part == "reteach")
    assert again.number == 1
    assert again.wrong[0].mixups & first.wrong[0].mixups


def test_the_next_plan_returns_to_what_few_had(
    led: Led, folder: Path, screen: Screen, tmp_path_factory: pytest.TempPathFactory
) -> None:
    cache = tmp_path_factory.getbasetemp() / "cache"
    environment = environment_in(folder, os.environ | screen.environment | {"XDG_CACHE_HOME": str(cache)})
    (folder / "terns.toml").write_text(CLASS, encoding="utf-8")
    subprocess.run(
        caller_command("plan", str(folder / "terns.toml"), "--to", str(folder / "next.toml")),
        env=environment, check=True, capture_output=True,
    )  # fmt: skip
    planned = tomllib.loads((folder / "next.toml").read_text(encoding="utf-8"))
    assert any(each["time"].endswith(":30") for each in planned["round"])
    told = subprocess.run(
        caller_command("record", "terns", "--json", "--to", str(folder / "terns.png")),
        env=environment, check=True, capture_output=True, text=True,
    )  # fmt: skip
    assert "half past" in json.loads(told.stdout)["says"][2]
    assert (folder / "terns.png").read_bytes().startswith(b"\x89PNG")


def test_a_killed_lesson_loses_at_most_its_round_and_is_carried_on(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """kill -9 at random moments of a lesson that runs forty times as fast; `CALLER_KILLS` says how often."""
    script, log = tmp_path / "killed.toml", tmp_path / "log.jsonl"
    script.write_text(LESSON, encoding="utf-8")
    cache = tmp_path_factory.getbasetemp() / "cache"
    environment = environment_in(
        tmp_path, os.environ | {"SDL_VIDEODRIVER": "dummy", "XDG_CACHE_HOME": str(cache)}
    )
    subprocess.run(caller_command("show", str(script)), env=environment, check=True, capture_output=True)
    record = tmp_path / "data" / "hall-caller" / "record.sqlite3"
    words = [str(script), "--mute", "--window", "--replace", "--log", str(log)]
    faster = FastCaller(environment)
    chance = random.Random(4)
    cut: Unfinished | None = None
    told: dict[tuple[int, str], str] = {}  # of the lesson that is being carried on
    for _ in range(KILLS):
        log.unlink(missing_ok=True)
        child = faster.start([*words, *(["--carry-on"] if cut else [])])
        deadline = time.monotonic() + 120
        while not calls_of(events_of(log)):
            assert time.monotonic() < deadline
            time.sleep(0.01)
        if cut is not None:
            calls = json.loads(cut.run_sheet)["calls"]
            where = next((call for call in calls if call["number"] == cut.call), calls[0])
            first = next(call for call in calls if call["number"] == calls_of(events_of(log))[0]["number"])
            assert (first["part"], first.get("round")) == (where["part"], where.get("round"))
        time.sleep(chance.uniform(0.0, 10.0))
        faster.kill(child)
        events = events_of(log)
        with closing(sqlite3.connect(record)) as plain:
            assert plain.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert not list(record.parent.glob("*.damaged"))
        # All that was told before the last two events of the log is on the disk.
        told |= {(each["round"], each["part"]): each["tally"] for each in events if each["event"] == "tally"}
        last = [(each["round"], each["part"]) for each in events[-40:] if each["event"] == "tally"][-1:]
        with Store(record) as store:
            lesson = store.lessons("Terns")[-1]
            cut = store.unfinished()
        kept = {(each.number, each.part): str(each.tally) for each in lesson.rounds}
        for key, tally in told.items():
            assert kept.get(key) == tally or key in last
        if cut is None:
            told = {}
        else:
            heard = [each["number"] for each in calls_of(events)]
            assert cut.call in heard[-2:]
    faster.close()


def test_somebody_standing_in_gets_to_a_lesson_with_the_one_key_that_the_screen_names(
    tmp_path: Path,
    sound_server: SoundServer,
    screen: Screen,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """From the start screen: standing in, which class, how many minutes, sound check, safety, go."""
    cache = tmp_path_factory.getbasetemp() / "cache"
    environment = environment_in(
        tmp_path, os.environ | sound_server.environment | screen.environment | {"XDG_CACHE_HOME": str(cache)}
    )
    own = tmp_path / "data" / "hall-caller"
    (own / "classes").mkdir(parents=True)
    (own / "classes" / "terns.toml").write_text(CLASS, encoding="utf-8")
    run = subprocess.Popen(caller_command(), env=environment)
    deadline = time.monotonic() + 300
    time.sleep(4.0)
    screen.press("Right")  # to the second of the four pictures
    while not (own / "record.sqlite3").exists():
        assert run.poll() is None
        assert time.monotonic() < deadline
        time.sleep(4.0)
        screen.press("Return")
    time.sleep(4.0)
    take_picture(screen, tmp_path / "led.png")
    screen.press("Escape")
    time.sleep(1.0)
    screen.press("Escape")  # stop the lesson
    time.sleep(3.0)
    take_picture(screen, tmp_path / "happened.png")
    screen.press("Return")
    time.sleep(2.0)
    screen.press("Escape")
    assert run.wait(timeout=60) == 0
    with Store(own / "record.sqlite3") as store:
        (lesson,) = store.lessons("Terns")
    assert lesson.stand_in
    assert lesson.planned_s == 600.0
    assert lesson.ending == "stopped"
