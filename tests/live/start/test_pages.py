"""Every page before and after a lesson, in every language and on every usual screen: large enough, nothing on
anything else, and a way on and back in words and in signs."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from caller.clock import ClockTime
from caller.errors import MachineError
from caller.languages import CODES
from caller.lesson.library import find_lesson, read_lesson
from caller.live.keeping import CutOff
from caller.live.keys import Controls, key_page, picture_page
from caller.live.performance import first_call
from caller.live.performance.presses import WaitingPage
from caller.live.room import Room
from caller.live.start import by_step, choosing, my_classes, startscreen
from caller.live.start import my_classes as making
from caller.live.window import Input, KeyPress, Picture
from caller.live.words import said, speak
from caller.planning.staging import Stage, stage_of
from caller.record import LessonKept, RoundKept, Tally
from caller.record.files import OneLesson
from caller.record.knowledge import Estimate, know
from caller.screen.menu import Menu, draw_menu, tile_places
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.stage import draw_scene
from caller.screen.teacher_pages import KeyPage, PicturePage, draw_key_page, draw_picture_page
from caller.screen.theme import LIGHT
from tests.live.start.text_on_pages import NotingCanvas, overlaps
from tests.sampling import NIGHTLY

SIZES = ((1024, 768), (1366, 768), (1920, 1080), (3840, 2160))
LEAST_SHARE = 0.022
"""Of the picture's height, from the top of a capital to the foot of a g: what this project promises."""

FILES = {
    "classes/terns.toml": 'name = "Terns"\nage = "6-7"\nstep = "quarters"\nminutes = 20\n',
    "classes/gannets.toml": 'name = "Gannets"\nage = "9-10"\nstep = "day-parts"\nminutes = 40\n',
    "lessons/monday.toml": 'title = "Half past"\nclass = "Terns"\nstep = "half-past"\nminutes = 15\n'
    '[[round]]\ntime = "9:30"\n',
    "lessons/tuesday.toml": 'title = "Half past"\nclass = "Terns"\nstep = "half-past"\nminutes = 15\n'
    '[[round]]\ntime = "7:30"\n',
    "lessons/spoilt.toml": 'title = "Spoilt"\n[[round]]\ntime = "25:30"\n',
}


class OneKeyAPicture:
    """A screen that keeps what it showed; after each picture the next key of the walk is pressed."""

    size = (1280, 720)

    def __init__(self, keys: str) -> None:
        self._keys = keys.split()
        self.shown: list[Picture] = []
        self._new = False

    def pressed(self) -> bool:
        return False

    def inputs(self) -> Iterator[Input]:
        if self._new:
            self._new = False
            yield KeyPress(self._keys.pop(0) if self._keys else "escape")

    def show(self, picture: Picture) -> bool:
        self._new = True
        if picture not in self.shown:
            self.shown.append(picture)
        return True

    def step_aside(self) -> None:
        return


class Waiting:
    """Has nothing done until it was looked at three times."""

    def __init__(self, result: object) -> None:
        self._left, self._result = 3, result

    def done(self) -> bool:
        self._left -= 1
        return self._left < 0

    def cancel(self) -> bool:
        return True

    def result(self) -> object:
        return self._result


def walked(keys: str, *, result: object = None) -> list[Picture]:
    """Return the pages of the start screen that these keys lead through."""
    screen = OneKeyAPicture(keys)
    background = SimpleNamespace(submit=lambda _name, _work: Waiting(result))
    room = SimpleNamespace(
        screen=screen, controls=Controls(), background=background, voice=None, by_one_switch=lambda _yes: None
    )
    startscreen.start(cast(Room, room))
    return screen.shown


@pytest.fixture(autouse=True)
def furnished(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Classes, lessons and a record of a teacher's own, and no waiting."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    for name, text in FILES.items():
        path = tmp_path / "data" / "hall-caller" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    handed = tmp_path / "Terns 2026-11-27" / "lesson.toml"
    handed.parent.mkdir()
    handed.write_text(FILES["lessons/monday.toml"], encoding="utf-8")
    (handed.parent / "START.html").write_text("", encoding="utf-8")
    monkeypatch.setattr("caller.live.start.choosing.time.sleep", lambda _seconds: None)
    monkeypatch.setattr(startscreen, "handed_over", lambda **_now: [handed])
    monkeypatch.setattr(startscreen, "lead", lambda *_lesson, **_how: None)
    return tmp_path


CLASS = "down right return return "  # to the page of the first class
WALKS = (
    "return " + "return escape right " * 10,
    "return return right return",  # a script that cannot be used
    "return right return return right",  # whose lesson is it?
    "right return right right right return return return",
    "right return right return return",
    "down return right return",
    "down return return",  # the maker is not installed
    CLASS + "return return",
    CLASS + "right return",
    CLASS + "right right return right left right left",
    CLASS + "down right right return right return",
    CLASS + "down right return return return return return return",  # five questions about the hall
    CLASS + "down right return escape",
    "down right return",
    "h h",
)
PAGES = (
    "what-today", "which-step", "which-lesson", "for-which-class", "which-class", "how-old", "how-long",
    "making", "making-for", "make", "maker-missing", "maker-open", "classes", "shown-of", "nothing-counted",
    "handing", "handed", "forget-sure", "forgotten", "cut-off", "running-already",
    "hall-kind", "hall-length", "hall-screen", "hall-speaker", "hall-row", "hall-kept",
)  # fmt: skip
"""Titles, by their keys in `screen.toml`."""


def every_page(code: str, monkeypatch: pytest.MonkeyPatch) -> list[Picture]:
    """Return all pages there are in a language."""
    monkeypatch.setenv("LANGUAGE", code)
    by_step.ready_on_offer.cache_clear()
    known = know((), time.time())
    counted = replace(
        known,
        half_life_days={"o-clock": 9.0, "quarters": 5.0},
        steps={**known.steps, "quarters": Estimate(mean=0.6, low=0.4, high=0.8)},
    )
    monkeypatch.setattr(making, "check_extra", missing)
    pages: list[Picture] = []
    for walk in WALKS:
        pages += walked(walk, result=True if "right right return" in walk else None)
    with monkeypatch.context() as context:
        context.setattr(my_classes, "recall", lambda _name: counted)
        pages += walked(CLASS + "right return")
        context.setattr(making, "check_extra", lambda: None)
        looks = iter((None, None, None))
        ended = SimpleNamespace(returncode=0, poll=lambda: next(looks, 0))
        context.setattr("caller.maker.process.subprocess.Popen", lambda *_command, **_how: ended)
        pages += walked("down return return")
        context.setattr(startscreen, "cut_off", lambda: cut_short(code))
        context.setattr(startscreen, "give_up", lambda _number: None)
        pages += walked("right return")
    with OneLesson():
        pages += walked("return")
    speak(code)
    monkeypatch.setattr(choosing, "show_until_pressed", lambda _screen, scene: pages.append(scene))
    monkeypatch.setattr("caller.live.start.choosing.Store.lessons", lambda _store, _name: [led()])
    choosing.show_what_happened(cast(Room, SimpleNamespace(screen=None)), "Terns")
    assert isinstance(pages[-1], Scene)
    pages.append(key_page(Controls()))
    pages.append(key_page(Controls(single_switch="space")))
    pages.append(picture_page(Controls()))
    lesson = replace(read_lesson(find_lesson("demo")), language=cast(Any, code))
    for call in Stage().to_lead(lesson).before.calls:
        for controls in (Controls(), Controls(single_switch="space")):
            page = WaitingPage(controls, lambda: (1280, 720), loudness=call.kind == "sound-check")
            longest = max((line.written for line in call.lines), key=len)
            said_now = Scene(board=call.board, caption=longest)
            pages.append(page.shown(said_now))
            pages.append(page.shown(replace(said_now, notice=said("lesson.volume").format(step=8, steps=8))))
    return [page for number, page in enumerate(pages) if page not in pages[:number]]


def led() -> LessonKept:
    """Return a lesson after which there is as much to tell as can be."""
    rounds = tuple(
        RoundKept(
            number=number,
            part=part,
            at_s=60.0 * number,
            question="read",
            step="quarters",
            time=ClockTime(number, 45),
            wrong=(),
            tally=Tally(judgement="few"),
        )
        for part in ("main", "reteach")
        for number in (10, 11, 12)
    )
    facts: dict[str, Any] = {"began_s": 0.0, "ended_s": 900.0, "ending": "ended", "planned_s": 900.0}
    return LessonKept(number=1, class_name="Terns", title="Quarters", stand_in=False, rounds=rounds, **facts)


def missing() -> None:
    raise MachineError("missing")


def cut_short(code: str) -> CutOff:
    """Return the demo, cut off in its second round."""
    lesson = replace(read_lesson(find_lesson("demo")), language=cast(Any, code))
    sheet = stage_of("", Path()).run_sheet(lesson)
    kept = SimpleNamespace(class_name="Terns", title=lesson.title, number=1)
    return CutOff(kept=cast(Any, kept), run_sheet=sheet, branches=sheet, first=first_call(sheet, 2))


class Blanks(dict[str, str]):
    """Fills every slot with a mark."""

    def __missing__(self, _key: str) -> str:
        return "\0"


def draw(canvas: Any, page: Picture, width: int, height: int) -> None:
    if isinstance(page, Menu):
        draw_menu(canvas, page, width=width, height=height, theme=LIGHT)
    elif isinstance(page, KeyPage):
        draw_key_page(canvas, page, width=width, height=height, theme=LIGHT)
    elif isinstance(page, PicturePage):
        draw_picture_page(canvas, page, width=width, height=height, theme=LIGHT)
    else:
        draw_scene(canvas, page, width=width, height=height, theme=LIGHT)


def crowded(page: Menu, width: int, height: int) -> Iterator[str]:
    """Tell which of the things that can be pressed stand on each other, or leave the picture."""
    placed = tile_places(page, width, height)
    rooms = placed.tiles | placed.bar
    for number, room in rooms.items():
        if room.x < 0 or room.right > width or room.y < 0 or room.bottom > height:
            yield f"button {number} leaves the picture"
    for one, other in combinations(rooms, 2):
        first, second = rooms[one], rooms[other]
        across = first.x < second.right and second.x < first.right
        if across and first.y < second.bottom and second.y < first.bottom:
            yield f"buttons {one} and {other} overlap"


def title_of(page: Picture) -> str:
    if isinstance(page, Menu) and page.scene is not None:
        return page.scene.board.title or "a scene"
    return page.title or page.tiles[0].title if isinstance(page, Menu) else getattr(page, "title", "a scene")


@pytest.mark.parametrize("code", CODES)
def test_on_every_page_letters_are_large_enough_and_stand_clear_of_each_other(
    code: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    faults = []
    pages = every_page(code, monkeypatch)
    shown = [f"{page.title} {page.tiles[0].title}" for page in pages if isinstance(page, Menu) and page.tiles]
    for key in PAGES:
        longest = max(said(f"start.{key}").format_map(Blanks()).split("\0"), key=len)
        assert any(longest in title for title in shown), key
    for number, page in enumerate(pages):
        # By day each page on one screen, so that each screen has a share of the pages.
        for width, height in SIZES if NIGHTLY else SIZES[number % len(SIZES) :][:1]:
            recorder = skia.PictureRecorder()  # notes what is drawn, and fills no pixels
            canvas = NotingCanvas(recorder.beginRecording(skia.Rect.MakeWH(width, height)))
            draw(canvas, page, width, height)
            where = f"{title_of(page)} at {width}x{height}"
            faults += [
                f"{where}: {each.text!r} is {each.letters / height:.2%} high"
                for each in canvas.written
                if each.letters < LEAST_SHARE * height and not each.text.isdigit()
            ]
            faults += [f"{where}: {pair}" for pair in overlaps(canvas.written)]
            if isinstance(page, Menu):
                faults += [f"{where}: {fault}" for fault in crowded(page, width, height)]
            faults += [
                f"{where}: {each.text!r} leaves the picture"
                for each in canvas.written
                if each.left < 0 or each.right > width or each.top < 0 or each.bottom > height
            ]
    assert not faults, "\n".join(sorted(set(faults)))
