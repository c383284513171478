"""The hall led by scripted keys: a screen that is watched, a voice that hums, a loudspeaker that takes a
quarter of a second for every picture, so that a lesson is over in a moment and always goes the same way.
"""

from __future__ import annotations

import json
import os
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import numpy as np
import pytest

from caller.clock import ClockTime
from caller.errors import ScreenError, SoundError
from caller.lesson import Lesson, Round
from caller.live.background import RunLog
from caller.live.keeping import LessonRecord
from caller.live.keys import Controls
from caller.live.loudspeaker import Lateness
from caller.live.loudspeaker.output import SpeakerBeingOpened
from caller.live.loudspeaker.player import Player
from caller.live.loudspeaker.speakers import SilentSpeaker
from caller.live.microphone.microphone import Ear, QuietGate
from caller.live.performance import PlanToLead
from caller.live.performance.performance import Performance
from caller.live.performance.presses import Ending
from caller.live.room import Room
from caller.live.start import startscreen
from caller.live.window import Input, KeyPress, NoScreen, Picture, Screen
from caller.live.words import said
from caller.planning.staging import stage_of
from caller.record import Tally
from caller.record.files import LessonRunningError, OneLesson
from caller.record.store import Store
from caller.runsheet import RunSheet
from caller.screen.menu import Menu
from caller.screen.scene import RaisedSignal, Scene
from caller.screen.teacher_pages import KeyPage, PicturePage
from caller.sound import STARTING_DB
from caller.sound.speech import VoiceSettings
from caller.sound.voice import VoiceBox
from tests.live.conftest import AtOnce, Sounded

FASTER = 200.0
FRAME_S = 0.25
LESSON = Lesson(
    title="Quarters",
    class_name="Terns",
    step="quarters",
    rounds=(Round(time=ClockTime(9, 30), wrong=(ClockTime(10, 30),)), Round(time=ClockTime(7, 45)), Round()),
)


class Mumble:
    """A voice whose sentences are all a second of a very soft hum."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def __enter__(self) -> Mumble:
        return self

    def __exit__(self, *_ended: object) -> None:
        return

    def clip(self, text: str, _settings: VoiceSettings) -> Sounded:
        self.asked.append(text)
        return Sounded(np.full(48_000, 0.001, dtype=np.float32), peak=0.001)

    def speak_ahead(self, _requests: object) -> None:
        return


Say = Callable[["Watched"], bool]


class Watched:
    """A screen that notes what it shows; each step of its script waits for something seen, then presses."""

    size = (640, 360)

    def __init__(self, *script: tuple[Say, Sequence[str]]) -> None:
        self._script = list(script)
        self.shown: Picture | None = None
        self.ahead: list[Scene] = []
        self.notices: list[str] = []
        self.titles: list[str] = []
        self.pages = 0
        self.themes = 0
        self.raised: list[tuple[str, RaisedSignal | None]] = []  # beside each notice
        self._give_up_s = time.monotonic() + 60

    def pressed(self) -> bool:
        return False

    def inputs(self) -> Iterator[Input]:
        assert time.monotonic() < self._give_up_s, (self._script[:1], self.notices, self.titles, self.shown)
        if self._script and self.shown is not None and self._script[0][0](self):
            for key in self._script.pop(0)[1]:
                yield KeyPress(key)

    def draw_ahead(self, scene: Scene) -> None:
        self.ahead.append(scene)

    def show(self, picture: Picture) -> bool:
        new = picture != self.shown
        if isinstance(picture, Scene):
            self.raised.append((picture.notice, picture.raised))
        self.shown = picture
        if isinstance(picture, KeyPage | PicturePage):
            self.pages += new
        elif isinstance(picture, Menu):
            self.titles += [picture.title] if new else []
        elif not self.notices or picture.notice != self.notices[-1]:
            self.notices.append(picture.notice)
        return new

    def toggle_theme(self) -> None:
        self.themes += 1

    def toggle_full_screen(self) -> None:
        self.themes += 100

    def close(self) -> None:
        return

    @property
    def done(self) -> bool:
        return not self._script


def at(kind: str, in_round: int | None = None) -> Say:
    """Wait for a call, by what it leaves on the log."""

    def seen(screen: Watched) -> bool:
        return any(
            event.get("kind") == kind
            for event in screen.log.heard(in_round)  # type: ignore[attr-defined]
        )

    return seen


def noticing(text: str) -> Say:
    start = text.split("{", maxsplit=1)[0]
    return lambda screen: bool(screen.notices) and screen.notices[-1].startswith(start)


def choosing(title: str) -> Say:
    return lambda screen: (
        isinstance(screen.shown, Menu) and screen.shown.title.startswith(title.split("{", maxsplit=1)[0])
    )


def key_page(screen: Watched) -> bool:
    return isinstance(screen.shown, KeyPage)


def picture_test(screen: Watched) -> bool:
    return isinstance(screen.shown, PicturePage)


def lesson_picture(screen: Watched) -> bool:
    return isinstance(screen.shown, Scene)


def always(_screen: Watched) -> bool:
    return True


class Log(RunLog):
    """A log that is read while it is written."""

    def __init__(self, run_sheet: RunSheet) -> None:
        super().__init__(None)
        self.events: list[dict[str, Any]] = []
        self._rounds = {call.number: call.round for call in run_sheet.calls}

    def event(self, name: str, **facts: str | float | None) -> None:
        self.events.append({"event": name, **facts})

    def heard(self, in_round: int | None) -> list[dict[str, Any]]:
        calls = [each for each in self.events if each["event"] == "call"]
        last = calls[-1:]
        return [each for each in last if in_round is None or self._rounds.get(each["number"]) == in_round]

    def names(self) -> list[str]:
        return [each["event"] for each in self.events]


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def hurried() -> float:
    return FASTER * time.monotonic()


class Stepped(SilentSpeaker):
    """Takes a quarter of a second whenever it is asked what is heard."""

    name = "stepped"

    def start(self) -> None:
        return

    def heard(self, _now_s: float) -> int:
        CLOCK.now_s += FRAME_S
        self._fill(np.zeros(round(FRAME_S * 48_000), dtype=np.float32), 0.0)
        return self._player.written


class Clock:
    """The pictures' own clock: a quarter of a second for each."""

    now_s = 100.0

    def monotonic(self) -> float:
        return self.now_s

    def sleep(self, seconds: float) -> None:
        self.now_s += seconds


CLOCK = Clock()


@pytest.fixture(autouse=True)
def no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("caller.live.performance.performance.time", CLOCK)
    for module in ("choosing", "standing_in"):
        monkeypatch.setattr(f"caller.live.start.{module}.time", CLOCK)


def room_with(screen: object, log: RunLog, voice: Mumble | None = None, **settings: Any) -> Room:
    settings = dict[str, Any](clock=hurried) | settings
    settings.setdefault("speaker", SpeakerBeingOpened(Player(STARTING_DB), Stepped))
    room = Room(cast(Screen, screen), cast(VoiceBox, voice or Mumble()), log=log, **settings)
    room.background.close()
    room.background = AtOnce(log)
    return room


def led(
    *script: tuple[Say, Sequence[str]], plan: PlanToLead | None = None, **settings: Any
) -> tuple[Watched, Log, Ending]:
    """Lead the lesson by a script; return the screen, the log and how it ended."""
    plan = plan or PlanToLead(run_sheet=SHEET)
    screen, log = Watched(*script), Log(plan.run_sheet)
    screen.log = log  # type: ignore[attr-defined]
    with room_with(screen, log, **settings) as room:
        ending = Performance(room, plan).run()
    return screen, log, ending


def brief(sheet: RunSheet) -> RunSheet:
    """Return a run sheet whose calls are one sentence each, and think time a moment."""
    return replace(
        sheet,
        calls=tuple(
            replace(
                call,
                lines=call.lines[:1],
                hold_s=0.0,
                countdown=call.countdown and replace(call.countdown, seconds=2),
            )
            for call in sheet.calls
        ),
    )


_TO_LEAD = stage_of("", Path()).to_lead(LESSON)
WHOLE, BRANCHES = _TO_LEAD.lesson, _TO_LEAD.again
SHEET = brief(WHOLE)


def in_record(path: Path, sheet: RunSheet = SHEET) -> PlanToLead:
    return PlanToLead(run_sheet=sheet, branches=BRANCHES, record=LessonRecord(sheet, BRANCHES, path=path))


def test_a_lesson_leads_itself_to_its_end() -> None:
    screen, log, ending = led()
    heard = [each["number"] for each in log.events if each["event"] == "call"]
    assert ending is Ending.ENDED
    assert heard == [call.number for call in SHEET.calls]
    assert log.names()[:3] == ["speaker", "first picture", "first sound"]
    assert log.names()[-1] == "finished"
    # Pictures were drawn before they were due.
    assert any(scene.board.lanes and scene.move_s > 0 for scene in screen.ahead)


class Wavering(Stepped):
    """As a sound system that tells its times anew after it was suspended: a second back, now and then."""

    looks = 0

    def heard(self, now_s: float) -> int:
        self.looks += 1
        return super().heard(now_s) - (48_000 if self.looks % 3 == 0 else 0)


def test_a_call_that_was_heard_never_comes_back_though_the_sounds_clock_is_set_right() -> None:
    _screen, log, ending = led(speaker=SpeakerBeingOpened(Player(STARTING_DB), Wavering))
    assert ending is Ending.ENDED
    assert [each["number"] for each in log.events if each["event"] == "call"] == [
        call.number for call in SHEET.calls
    ]


def test_stopping_asks_first_and_any_other_key_goes_on() -> None:
    screen, _log, ending = led(
        (at("welcome"), ["escape"]),
        (noticing(said("lesson.ask-to-stop")), ["m"]),
        (at("warm-up"), ["q"]),
        (noticing(said("lesson.ask-to-stop")), ["q"]),
    )
    assert (ending, screen.done) == (Ending.STOPPED, True)


def test_a_pause_names_its_keys_as_they_are_mapped_and_every_way_on_ends_it() -> None:
    own = Controls(keys={"k": Controls().keys["space"], "q": Controls().keys["q"], "h": Controls().keys["h"]})
    screen, _log, ending = led(
        (at("welcome"), ["k"]),
        (noticing("Paused. K"), ["h"]),
        (key_page, ["h"]),
        (noticing("Paused. K"), ["k"]),
        (at("question"), ["q"]),
        (noticing("Stop the lesson? Q again"), ["q"]),
        controls=own,
    )
    assert (ending, screen.done) == (Ending.STOPPED, True)


def test_a_pause_left_alone_is_looked_after_seldom_and_hears_a_press_at_once() -> None:
    looked_s: list[float] = []

    def paused(_screen: Watched) -> bool:
        looked_s.append(CLOCK.now_s)
        return CLOCK.now_s > looked_s[0] + 20

    class Touched(Watched):
        def pressed(self) -> bool:
            return bool(looked_s) and looked_s[-1] < looked_s[0] + 10 <= CLOCK.now_s

    class Standing(Stepped):
        def heard(self, now_s: float) -> int:
            stands = looked_s and CLOCK.now_s <= looked_s[0] + 20
            return self._player.written if stands else super().heard(now_s)

    script = (
        (at("welcome"), ["space"]),
        (paused, ["space"]),
        (at("question"), ["escape"]),
        (noticing(said("lesson.ask-to-stop")), ["escape"]),
    )
    screen, log = Touched(*script), Log(SHEET)
    screen.log = log  # type: ignore[attr-defined]
    with room_with(screen, log, speaker=SpeakerBeingOpened(Player(STARTING_DB), Standing)) as room:
        assert Performance(room, PlanToLead(run_sheet=SHEET)).run() is Ending.STOPPED
    assert screen.done
    since_s = np.array(looked_s) - looked_s[0]
    assert 3 <= np.count_nonzero((since_s > 5) & (since_s < 6)) <= 6, "left alone"
    assert since_s[since_s >= 10][0] < 10.1, "a press is looked for often"
    assert np.count_nonzero((since_s > 10.5) & (since_s < 11.5)) >= 14, "a hand is there"
    assert 3 <= np.count_nonzero((since_s > 15) & (since_s < 16)) <= 6, "left alone again"


def test_the_key_page_hides_a_lesson_that_goes_on_and_stops_key_only_puts_it_away() -> None:
    screen, log, ending = led((at("welcome"), ["h"]), (key_page, ["l", "f", "escape"]), (lesson_picture, []))
    assert ending is Ending.ENDED
    assert (screen.pages, screen.themes) == (1, 101)
    assert len([name for name in log.names() if name == "call"]) == len(SHEET.calls)


def test_the_picture_test_lies_over_the_lesson_and_one_page_gives_way_to_the_other() -> None:
    screen, _log, ending = led(
        (at("welcome"), ["p"]),
        (picture_test, ["h"]),
        (key_page, ["p"]),
        (picture_test, ["p"]),
        (lesson_picture, ["escape"]),
        (noticing(said("lesson.ask-to-stop")), ["escape"]),
    )
    assert (ending, screen.done, screen.pages) == (Ending.STOPPED, True, 3)


def test_one_key_goes_to_the_warm_up_and_then_to_the_clocks() -> None:
    _screen, log, _ending = led(
        (at("welcome"), ["s"]), (at("warm-up"), ["s"]), (at("question"), ["escape"]), (always, ["escape"])
    )
    heard = [each["kind"] for each in log.events if each["event"] == "call"]
    assert heard[:2] == ["welcome", "warm-up"]
    assert "safety" not in heard


def test_louder_and_softer_are_seen_and_stay_for_the_next_run_sheet() -> None:
    screen, log = Watched((at("welcome"), ["up", "up", "up"])), Log(SHEET)
    screen.log = log  # type: ignore[attr-defined]
    first = replace(SHEET, calls=SHEET.calls[:1])
    with room_with(screen, log) as room:
        Performance(room, PlanToLead(run_sheet=first)).run()
        assert room.player.volume_db == 0.0
        Performance(room, PlanToLead(run_sheet=first)).run()
        assert room.player.volume_db == 0.0
    assert "Volume 11 of 11: louder only at the loudspeaker." in screen.notices
    assert log.names().count("speaker") == 1, "one loudspeaker for the whole run of the program"


def test_counts_are_kept_taken_back_and_never_taken_before_time_is_up(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite3"
    screen, log, ending = led(
        (at("welcome"), ["m"]),
        (noticing(said("count.not-yet")), ["u"]),
        (noticing(said("count.nothing-to-take-back")), []),
        (at("time-up", 1), ["m"]),
        (noticing(said("count.noted")), []),
        (at("reason", 1), ["page down"]),
        (at("answer", 2), ["a"]),
        (at("reason", 2), ["u"]),
        (noticing(said("count.taken-back")), []),
        (at("answer", 3), ["1", "2"]),
        plan=in_record(path),
    )
    assert (ending, screen.done) == (Ending.ENDED, True)
    with Store(path) as store:
        (kept,) = store.lessons("Terns")
    assert [each.tally for each in kept.rounds] == [Tally(judgement="most"), None, Tally(missed=12)]
    assert kept.ending == "ended"
    assert log.names().count("tally taken back") == 1


def test_few_is_taught_again_at_once_and_the_screen_says_so(tmp_path: Path) -> None:
    screen, log, _ending = led(
        (at("answer", 1), ["n"]),
        (noticing(said("count.taught-next")), []),
        (at("reason"), ["escape", "escape"]),
        plan=in_record(tmp_path / "record.sqlite3", WHOLE),
    )
    heard = [each["number"] for each in log.events if each["event"] == "call"]
    again = [call.number for call in BRANCHES.calls if call.round == 1]
    assert screen.done
    assert set(again) & set(heard)
    answer = next(call.number for call in SHEET.calls if (call.kind, call.round) == ("answer", 1))
    assert heard[heard.index(answer) + 1] == again[0]


@pytest.mark.parametrize("hears", [True, False])
def test_a_key_has_the_clocks_to_come_counted_by_claps_where_there_is_a_microphone(
    hears: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Listening(Ear):
        @property
        def hears(self) -> bool:
            return hears

    monkeypatch.setattr(Room, "ear", lambda _room: Listening())
    screen, log, ending = led(
        (at("answer", 1), ["c"]),
        (noticing(said("count.claps-on")), []),
        (at("answer", 2), ["c"]),
        (noticing(said("count.claps-off")), []),
        (at("answer", 3), ["c"]),
        (noticing(said("count.claps-none")), []),
        plan=in_record(tmp_path / "record.sqlite3", WHOLE),
    )
    assert (ending, screen.done) == (Ending.ENDED, True)
    kinds = [each["kind"] for each in log.events if each["event"] == "call"]
    # Nothing is heard of everybody's claps here, and so no side is asked either.
    assert kinds.count("claps") == hears
    assert [each["asked"] for each in log.events if each["event"] == "claps"] == [True, False]


def test_while_a_call_waits_for_quiet_the_class_sees_that_it_is_asked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class Restless(QuietGate):
        def lets_through(self) -> bool:
            self.hear(-20.0)
            return super().lets_through()

    monkeypatch.setattr(Room, "gate", lambda _room, longest_s: Restless(longest_s, clock=CLOCK.monotonic))
    screen, _, ending = led(quiet_gate_s=10)
    assert ending is Ending.ENDED
    asking = said("lesson.waiting").split("{", maxsplit=1)[0]
    waiting = [raised for notice, raised in screen.raised if notice.startswith(asking)]
    assert len(waiting) > 20
    assert {raised.signal for raised in waiting if raised is not None} == {"quiet"}
    ups = [raised.up if raised is not None else 0.0 for raised in waiting]
    assert ups.count(1.0) > len(ups) / 2
    at_rest = [raised for notice, raised in screen.raised if not notice.startswith(asking)]
    assert {raised.signal for raised in at_rest if raised is not None} >= {"attention", "time-up"}


def test_a_pause_leaves_no_signal_standing() -> None:
    def ringing(screen: Watched) -> bool:
        return bool(screen.raised) and screen.raised[-1][1] is not None

    screen, _, _ = led((ringing, ["space"]), (noticing(said("lesson.paused")), ["space"]))
    paused = said("lesson.paused").split("{", maxsplit=1)[0]
    standing = [raised for notice, raised in screen.raised if notice.startswith(paused)]
    assert standing
    assert set(standing) == {None}


def test_without_a_loudspeaker_the_words_stand_there_and_one_that_comes_is_taken() -> None:
    plugged = threading.Event()

    def opener(player: Player) -> SilentSpeaker:
        if not plugged.is_set():
            raise SoundError("none")
        return Stepped(player)

    def plug(screen: Watched) -> bool:
        if noticing(said("machine.none"))(screen):
            plugged.set()
        return plugged.is_set() and not screen.notices[-1]

    screen, log, ending = led((plug, []), speaker=SpeakerBeingOpened(Player(STARTING_DB), opener))
    assert (ending, screen.done) == (Ending.ENDED, True)
    assert log.names().count("no speaker") == 1
    assert log.names().count("sound back") == 1


def test_the_first_call_is_heard_while_the_window_opens_and_not_behind_a_buffer_of_silence() -> None:
    had: list[int] = []
    started = threading.Event()

    class Filling(Stepped):
        def start(self) -> None:
            had.append(speaker.player.waiting())
            started.set()

    class Slow(Mumble):
        def clip(self, text: str, settings: VoiceSettings) -> Sounded:
            time.sleep(0.1)
            return super().clip(text, settings)

    def opens() -> Screen:
        assert started.wait(5)
        return cast(Screen, Watched((always, ["escape"])))

    speaker = SpeakerBeingOpened(Player(STARTING_DB), Filling)
    with Room(opens, cast(VoiceBox, Slow()), speaker=speaker) as room:
        Performance(room, PlanToLead(run_sheet=brief(SHEET), confirm_stop=False)).run()
    assert had == [1]


def test_a_page_waits_for_no_words_once_there_is_sound() -> None:
    waited: list[float] = []
    with room_with(Watched(), RunLog(None)) as room:
        assert room.begin_sound(waited.append).result() is room.sound
        assert len(waited) == 1
        assert room.begin_sound(waited.append).result() is room.sound
        assert len(waited) == 1


@pytest.mark.parametrize("sound", [True, False])
def test_without_a_display_each_call_is_printed_with_its_time(sound: bool) -> None:
    def none(_player: Player) -> SilentSpeaker:
        raise SoundError("none")

    printed: list[str] = []
    speaker = SpeakerBeingOpened(Player(STARTING_DB), Stepped if sound else none)
    with room_with(NoScreen(), RunLog(None), printed=printed.append, speaker=speaker) as room:
        assert Performance(room, PlanToLead(run_sheet=SHEET)).run() is Ending.ENDED
    assert printed[0] == (said("lesson.unseen") if sound else said("lesson.unseen-unheard"))
    calls = [text for text in printed[1:] if text[:5].strip()[:1].isdigit()]
    if sound:
        assert [text.split()[1] for text in calls] == [call.kind for call in SHEET.calls]
    minutes = [int(text.split()[0].split(":")[0]) for text in calls]
    assert minutes == sorted(minutes)
    assert minutes[-1] >= 1


def test_a_display_that_goes_away_lets_the_voice_finish_its_call() -> None:
    class Gone(Watched):
        def show(self, picture: Picture) -> bool:
            if self.done:
                raise ScreenError("gone")
            return super().show(picture)

    screen, log = Gone((at("welcome"), [])), Log(SHEET)
    screen.log = log  # type: ignore[attr-defined]
    with room_with(screen, log) as room, pytest.raises(ScreenError):
        Performance(room, PlanToLead(run_sheet=SHEET)).run()
    assert log.names().count("display lost") == 1


def test_a_call_that_cannot_be_made_is_told_and_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    class Broken(Mumble):
        def clip(self, text: str, settings: VoiceSettings) -> Sounded:
            if text == SHEET.calls[1].lines[0].speech:
                raise OverflowError("a clip that cannot be read")
            return super().clip(text, settings)

    screen, log = Watched((at("question"), ["escape"]), (always, ["escape"])), Log(SHEET)
    screen.log = log  # type: ignore[attr-defined]
    with room_with(screen, log, Broken()) as room:
        Performance(room, PlanToLead(run_sheet=SHEET)).run()
    assert next(each for each in log.events if each["event"] == "trouble")["where"] == "segments"
    assert any("went wrong" in notice for notice in screen.notices)
    heard = [each["number"] for each in log.events if each["event"] == "call"]
    assert heard[:2] == [1, 3]


# The start screen


def started(*script: tuple[Say, Sequence[str]]) -> tuple[Watched, Log]:
    screen, log = Watched(*script), Log(SHEET)
    screen.log = log  # type: ignore[attr-defined]
    with room_with(screen, log) as room:
        startscreen.start(room)
    return screen, log


def own_lesson(tmp_path: Path) -> None:
    folder = tmp_path / "data" / "hall-caller" / "lessons"
    folder.mkdir(parents=True)
    (folder / "ours.toml").write_text('title = "Ours"\nclass = "Terns"\n[[round]]\ntime = "9:30"\n')


def test_from_the_start_screen_by_its_own_keys_to_a_lesson_and_back(tmp_path: Path) -> None:
    own_lesson(tmp_path)
    screen, log = started(
        (choosing("What would you like"), ["h"]),
        (key_page, ["h"]),
        (choosing("What would you like"), ["return"]),
        (choosing("Which clocks?"), ["return"]),
        (choosing("Which lesson?"), ["return"]),
        (at("sound-check"), ["return"]),
        (at("safety"), ["return"]),
        (at("welcome"), ["escape"]),
        (noticing(said("lesson.ask-to-stop")), ["escape"]),
        (lesson_picture, ["space"]),  # what happened
        (choosing("What would you like"), ["escape"]),
    )
    assert screen.done
    assert log.names().count("speaker") == 1
    with Store() as store:
        assert store.classes() == ("Terns",)


def no_other_may_begin(screen: Watched) -> bool:
    if not at("welcome")(screen):
        return False
    with pytest.raises(LessonRunningError):
        OneLesson()
    return True


def test_what_the_start_screen_leads_is_the_only_lesson_as_long_as_it_is_led(tmp_path: Path) -> None:
    own_lesson(tmp_path)
    screen, _log = started(
        (choosing("What would you like"), ["return"]),
        (choosing("Which clocks?"), ["return"]),
        (choosing("Which lesson?"), ["return"]),
        (at("sound-check"), ["return"]),
        (at("safety"), ["return"]),
        (no_other_may_begin, ["escape", "escape"]),
        (lesson_picture, ["space"]),
        (choosing("What would you like"), ["escape"]),
    )
    assert screen.done
    OneLesson().let_go()


def test_a_ready_lesson_is_nobodys_unless_a_class_is_chosen(tmp_path: Path) -> None:
    folder = tmp_path / "data" / "hall-caller" / "classes"
    folder.mkdir(parents=True)
    (folder / "puffins.toml").write_text('name = "Puffins"\n', encoding="utf-8")
    for chosen, kept in ((["return"], False), (["right", "return"], True)):
        screen, _log = started(
            (choosing("What would you like"), ["return"]),
            (choosing("Which clocks?"), ["return"]),
            (choosing("Which lesson?"), ["return"]),
            (choosing("For which class?"), chosen),
            (at("sound-check"), ["return"]),
            (at("safety"), ["return"]),
            (at("welcome"), ["escape", "escape"]),
            (lesson_picture, ["space"]),
            (choosing("What would you like"), ["escape"]),
        )
        assert screen.done
        with Store() as store:
            assert ("Puffins" in store.classes()) is kept


def test_a_substitute_of_another_class_greets_everybody_and_no_class_is_invented(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    planned: list[str] = []

    def plan(school_class: Any, *, minutes: int, voice: VoiceBox) -> Any:
        planned.append(f"{school_class.name!r} {school_class.step} {minutes}")
        return cast(Any, type("Planned", (), {"lesson": replace(LESSON, class_name=school_class.name)}))

    monkeypatch.setattr("caller.live.start.standing_in.plan_next", plan)
    screen, log = started(
        (choosing("What would you like"), ["right", "return"]),
        (choosing("How old are"), ["return"]),
        (choosing("How many minutes"), ["return"]),
        (at("sound-check"), ["return"]),
        (at("safety"), ["return"]),
        (at("welcome"), ["escape", "escape"]),
        (lesson_picture, ["space"]),
        (choosing("What would you like"), ["escape"]),
    )
    assert screen.done
    assert planned == ["'' quarters 20"]
    assert any(event.get("kind") == "welcome" for event in log.events)
    with Store() as store:
        assert not any(store.classes())


def test_what_was_handed_over_is_led_for_its_class_by_two_presses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own_lesson(tmp_path)
    script = tmp_path / "data" / "hall-caller" / "lessons" / "ours.toml"
    monkeypatch.setattr(startscreen, "handed_over", lambda **_now: [script])
    screen, _log = started(
        (choosing("What would you like"), ["right", "return"]),
        (choosing("Which class?"), ["return"]),
        (at("sound-check"), ["return"]),
        (at("safety"), ["return"]),
        (at("welcome"), ["escape", "escape"]),
        (lesson_picture, ["space"]),
        (choosing("What would you like"), ["escape"]),
    )
    assert screen.done
    with Store() as store:
        (lesson,) = store.lessons("Terns")
    assert (lesson.title, lesson.stand_in) == ("Ours", True)


def test_leaving_any_page_of_standing_in_leads_back() -> None:
    screen, _log = started(
        (choosing("What would you like"), ["right", "return"]),
        (choosing("How old are"), ["escape"]),
        (choosing("What would you like"), ["return"]),
        (choosing("How old are"), ["return"]),
        (choosing("How many minutes"), ["escape"]),
        (choosing("What would you like"), ["escape"]),
    )
    assert screen.done


def test_beside_a_running_lesson_a_second_start_says_so_and_leaves() -> None:
    with OneLesson():
        screen, _log = started((choosing("Another lesson is running"), ["return"]))
        with pytest.raises(LessonRunningError):
            OneLesson()
    assert screen.titles == ["Another lesson is running on this computer."]
    OneLesson().let_go()


def test_a_lesson_that_was_cut_off_is_offered_and_can_be_given_up() -> None:
    record = LessonRecord(SHEET, BRANCHES)
    for call in SHEET.calls[:12]:
        record.hear(call)
    record.leave_open()
    screen, log = started(
        (choosing("This lesson was cut off"), ["return"]),
        (at("question", 1), ["escape"]),
        (noticing(said("lesson.ask-to-stop")), ["escape"]),
        (lesson_picture, ["space"]),
        (choosing("What would you like"), ["escape"]),
    )
    assert screen.done
    assert json.dumps(log.events).count('"first sound"') == 1
    again = LessonRecord(SHEET, BRANCHES, began_s=time.time() + 1)
    again.hear(SHEET.calls[0])
    again.leave_open()
    screen, _log = started(
        (choosing("This lesson was cut off"), ["right", "return"]),
        (choosing("What would you like"), ["escape"]),
    )
    assert screen.done


def test_between_two_lessons_the_loudspeaker_is_opened_anew_for_another_kind_of_hall(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    opened: list[bool] = []

    def opens(player: Player, *, mute: bool) -> Stepped:
        assert not mute
        opened.append(player.wide)
        return Stepped(player)

    monkeypatch.setattr("caller.live.loudspeaker.output.open_speaker", opens)
    one = brief(SHEET)
    two = replace(one, voice=replace(one.voice, two_loudspeakers=True))
    with room_with(Watched(), RunLog(None), speaker=None) as room:
        for sheet in (one, two, two, one):
            assert Performance(room, PlanToLead(run_sheet=sheet)).run() is Ending.ENDED
    assert opened == [False, True, False]


def test_a_second_output_gets_the_voice_where_one_was_named_and_its_news_are_told(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    opened: list[str] = []
    news = ["The loop is silent."]

    class Second:
        def __init__(self, _player: Player, heard: Callable[[float], int], device: str, **_: object) -> None:
            assert heard(0.0) >= 0
            opened.append(device)

        def notice(self) -> str:
            return news.pop() if news else ""

        def close(self) -> None:
            opened.append("closed")

    monkeypatch.setattr("caller.live.room.SecondOutput", Second)
    lateness = Lateness(tmp_path / "loudspeakers.toml")
    for mute in (False, True):
        with room_with(Watched(), RunLog(None), lateness=lateness, mute=mute) as room:
            assert room.sound.name
    assert opened == []
    lateness.send_voice_to("loop")
    with room_with(Watched(), RunLog(None), lateness=lateness) as room:
        assert room.notice() == ""
        assert room.sound.name
        assert [room.notice(), room.notice()] == ["The loop is silent.", ""]
    with room_with(Watched(), RunLog(None), lateness=lateness, mute=True) as room:
        assert room.sound.name
    assert opened == ["loop", "closed"]
