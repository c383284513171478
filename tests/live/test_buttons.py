from __future__ import annotations

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import pygame
import pytest

from caller.live.buttons import Asked, Buttons
from caller.live.gamepad import Pads
from caller.live.keys import Action
from caller.live.remap import Controls
from caller.live.window import Click, KeyPress, KeyRelease, Window


def asked(
    buttons: Buttons, *keys: str, tally_waits: bool = False, now_s: float = 0.0, paused: bool = False
) -> list[Asked]:
    pressed = [KeyPress(key) for key in keys]
    return list(buttons.asked(pressed, now_s, tally_waits=tally_waits, paused=paused))


def test_keys_and_digits_are_told_apart() -> None:
    assert asked(Buttons(Controls()), "m", "F4", "7", "[2]", "scroll lock") == [Action.MOST, Action.FEW, 7, 2]


def test_a_presenter_tallies_once_and_then_goes_on_and_back_as_ever() -> None:
    buttons = Buttons(Controls())
    assert asked(buttons, "page down") == [Action.NEXT]
    assert asked(buttons, "page down", "page down", tally_waits=True) == [Action.MOST, Action.NEXT]
    assert asked(buttons, "page up", tally_waits=True) == [Action.FEW]
    assert asked(buttons, ".", tally_waits=True) == [Action.PAUSE]


def test_one_switch_goes_on_and_holding_it_repeats() -> None:
    buttons = Buttons(Controls(single_switch="space"))
    assert asked(buttons, "space", now_s=5.0) == []
    assert list(buttons.asked([KeyRelease("space")], 5.2, tally_waits=False, paused=False)) == [Action.NEXT]
    assert asked(buttons, "space", now_s=7.0) == []
    assert asked(buttons, now_s=7.9) == [Action.REPEAT]
    assert list(buttons.asked([KeyRelease("space")], 8.0, tally_waits=False, paused=False)) == []


def test_letting_go_of_a_key_and_the_mouse_ask_nothing() -> None:
    assert (
        list(Buttons(Controls()).asked([KeyRelease("m"), Click(3, 4)], 0.0, tally_waits=True, paused=False))
        == []
    )


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


def test_a_pad_that_is_pulled_out_is_let_go() -> None:
    pads = Pads()
    assert pads.pressed(pygame.event.Event(pygame.JOYDEVICEREMOVED, instance_id=7)) is None
