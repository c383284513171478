"""The pages that wait for somebody to go on: every way of pressing reaches every button of them."""

from __future__ import annotations

import pytest

from caller.live.keys import Controls
from caller.live.performance.presses import OVERLAYS, Asked, WaitingPage
from caller.live.window import Click, ClickRelease, Input, KeyPress, KeyRelease, Pointed
from caller.live.words import speak
from caller.runsheet import Board
from caller.screen.keytable import Action
from caller.screen.menu import tile_places
from caller.screen.scene import Scene

SIZE = (1366, 768)
SCENE = Scene(board=Board(layout="title", title="Sound check"))
SIGNS = {
    "back": Action.QUIT,
    "softer": Action.SOFTER,
    "louder": Action.LOUDER,
    "picture": Action.PICTURE,
    "keys": Action.HELP,
    "on": Action.NEXT,
}


@pytest.fixture(autouse=True)
def _in_english() -> None:
    speak("en-GB")


def waiting(controls: Controls | None = None, *, loudness: bool = True) -> WaitingPage:
    return WaitingPage(controls or Controls(), lambda: SIZE, loudness=loudness)


def asked(page: WaitingPage, *inputs: Input, now_s: float = 0.0) -> list[Asked]:
    return list(page.asked(inputs, now_s, paused=lambda: False))


def middle_of(page: WaitingPage, sign: str) -> Click:
    """Return a click on the button that shows a sign, where it is drawn."""
    menu = page.shown(SCENE)
    number = [button.sign for button in menu.bar].index(sign)  # type: ignore[arg-type]
    room = tile_places(menu, *SIZE).bar[number]
    return Click(round(room.centre_x), round(room.centre_y))


@pytest.mark.parametrize("sign", SIGNS)
def test_a_click_on_each_button_asks_for_what_it_shows(sign: str) -> None:
    page = waiting()
    assert asked(page, middle_of(page, sign), ClickRelease()) == [SIGNS[sign]]


def test_a_click_beside_them_and_a_pointer_that_moves_ask_nothing() -> None:
    page = waiting()
    assert asked(page, Click(700, 300), ClickRelease(), Pointed(1300, 720), now_s=9.0) == []


def test_where_nothing_is_to_be_set_there_are_no_buttons_for_loudness() -> None:
    assert [button.sign for button in waiting(loudness=False).shown(SCENE).bar] == ["back", "keys", "on"]


def test_a_presenter_goes_on_and_back() -> None:
    assert asked(waiting(), KeyPress("page down"), KeyPress("page up")) == [Action.NEXT, Action.QUIT]


def test_keys_do_what_they_do_in_a_lesson() -> None:
    pressed = [KeyPress(key) for key in ("up", "Down", "d", "return", "escape", "scroll lock")]
    assert asked(waiting(), *pressed) == [
        Action.LOUDER,
        Action.SOFTER,
        Action.PICTURE_LATER,
        Action.NEXT,
        Action.QUIT,
    ]


@pytest.mark.parametrize(("key", "over"), [("h", Action.HELP), ("p", Action.PICTURE)])
@pytest.mark.parametrize("shut", [KeyPress("escape"), KeyPress("x"), Click(5, 5)])
def test_whatever_is_pressed_puts_a_page_away_that_lies_over_it(key: str, over: Action, shut: Input) -> None:
    page = waiting()
    assert asked(page, KeyPress(key), shut, ClickRelease()) == [over, over]
    assert asked(page, KeyPress("escape")) == [Action.QUIT]


def test_one_switch_reaches_every_button_and_goes_on_at_once_where_it_is_held() -> None:
    page = waiting(Controls(single_switch="space"))
    now_s, taken = 10.0, []
    for _ in SIGNS:
        assert asked(page, KeyPress("space"), now_s=now_s) == []
        taken += asked(page, now_s=now_s + 2.0)
        assert asked(page, KeyRelease("space"), now_s=now_s + 2.1) == []
        if taken[-1] in OVERLAYS:  # a short press puts the page away that lies over this one
            assert asked(page, KeyPress("space"), now_s=now_s + 3.0) == []
            assert asked(page, KeyRelease("space"), now_s=now_s + 3.1) == [taken[-1]]
        assert asked(page, KeyPress("space"), now_s=now_s + 4.0) == []
        assert asked(page, KeyRelease("space"), now_s=now_s + 4.1) == []
        now_s += 10.0
    assert taken == [
        Action.NEXT,
        Action.QUIT,
        Action.SOFTER,
        Action.LOUDER,
        Action.PICTURE,
        Action.HELP,
    ]


def test_one_switch_that_was_still_down_when_the_page_came_asks_nothing() -> None:
    page = waiting(Controls(single_switch="space"))
    assert asked(page, KeyRelease("space"), now_s=3.0) == []
    assert asked(page, now_s=9.0) == []


def test_the_page_tells_how_one_switch_works_unless_there_is_news() -> None:
    page = waiting(Controls(single_switch="space"))
    scene = page.shown(SCENE).scene
    assert scene is not None
    assert "Held" in scene.notice
    assert waiting().shown(SCENE).scene == SCENE
