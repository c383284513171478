from __future__ import annotations

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import pygame
import pytest

from caller.live.keys import Controls
from caller.live.performance.presses import Asked, Buttons
from caller.live.window import Click, ClickRelease, Input, KeyPress, KeyRelease, Pads, Pointed, Window
from caller.screen.keytable import Action


def asked(buttons: Buttons, *keys: str, now_s: float = 0.0) -> list[Asked]:
    return list(buttons.asked([KeyPress(key) for key in keys], now_s, paused=lambda: False))


def test_keys_and_digits_are_told_apart() -> None:
    assert asked(Buttons(Controls()), "m", "F4", "7", "[2]", "scroll lock") == [Action.MOST, Action.FEW, 7, 2]


def test_a_presenter_goes_on_and_back_and_never_counts() -> None:
    buttons = Buttons(Controls())
    assert asked(buttons, "page down", "page up", ".") == [Action.NEXT, Action.BACK, Action.PAUSE]


def test_one_switch_goes_on_and_holding_it_repeats() -> None:
    buttons = Buttons(Controls(single_switch="space"))
    assert asked(buttons, "space", now_s=5.0) == []
    assert list(buttons.asked([KeyRelease("space")], 5.2, paused=lambda: False)) == [Action.NEXT]
    assert asked(buttons, "space", now_s=7.0) == []
    assert asked(buttons, now_s=7.9) == [Action.REPEAT]
    assert list(buttons.asked([KeyRelease("space")], 8.0, paused=lambda: False)) == []


def test_letting_go_of_a_key_and_moving_the_mouse_ask_nothing_and_a_tap_pauses() -> None:
    inputs: list[Input] = [KeyRelease("m"), Pointed(3, 4)]
    assert list(Buttons(Controls()).asked(inputs, 0.0, paused=lambda: False)) == []
    tapped: list[Input] = [Click(3, 4)]
    assert list(Buttons(Controls()).asked(tapped, 0.0, paused=lambda: False)) == [Action.PAUSE]


def test_a_finger_that_stays_asks_to_stop_and_then_stops_and_one_that_is_lifted_does_not() -> None:
    """A teacher with nothing but a mouse or a touch screen can end a lesson."""
    buttons = Buttons(Controls())

    def asks(now_s: float, *inputs: Input) -> list[Asked]:
        return list(buttons.asked(inputs, now_s, paused=lambda: False))

    assert asks(10.0, Click(3, 4)) == [Action.PAUSE]
    assert asks(12.9) == []
    assert asks(13.0) == [Action.QUIT]
    assert asks(14.9, ClickRelease()) == []
    assert asks(16.0) == []
    assert asks(20.0, Click(3, 4)) == [Action.PAUSE]
    assert [*asks(23.1), *asks(25.1), *asks(40.0)] == [Action.QUIT, Action.QUIT]


@pytest.fixture
def window() -> Window:
    return Window(full_screen=False, size=(320, 240))


def test_what_a_pad_sends_arrives_under_the_names_of_the_key_tables(window: Window) -> None:
    """SDL's own events, as a pad sends them; no pad is plugged into a test machine."""
    list(window.inputs())
    for event in (
        pygame.event.Event(pygame.JOYBUTTONDOWN, instance_id=0, button=0),
        pygame.event.Event(pygame.JOYBUTTONUP, instance_id=0, button=0),
        pygame.event.Event(pygame.JOYHATMOTION, instance_id=0, hat=0, value=(1, 0)),
        pygame.event.Event(pygame.JOYHATMOTION, instance_id=0, hat=0, value=(0, 0)),
    ):
        pygame.event.post(event)
    assert list(window.inputs()) == [KeyPress("pad 1"), KeyRelease("pad 1"), KeyPress("pad right")]
    window.close()


def test_a_mouse_button_goes_down_and_comes_up(window: Window) -> None:
    list(window.inputs())
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=(3, 4)))
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONUP, button=1, pos=(3, 4)))
    assert list(window.inputs()) == [Click(3, 4), ClickRelease()]
    window.close()


def test_a_pad_that_is_pulled_out_is_let_go() -> None:
    pads = Pads()
    assert pads.pressed(pygame.event.Event(pygame.JOYDEVICEREMOVED, instance_id=7)) is None
