from __future__ import annotations

from caller.live.performance.presses import SingleSwitch
from caller.screen.keytable import Action


def switch() -> SingleSwitch:
    return SingleSwitch(hold_s=0.8, ignore_again_s=0.3)


def test_a_short_press_goes_on_to_the_next_call_and_out_of_a_pause() -> None:
    one = switch()
    one.press(10.0)
    assert one.held(10.5) is None
    assert one.release(10.5, paused=False) is Action.NEXT
    one.press(12.0)
    assert one.release(12.1, paused=True) is Action.PAUSE


def test_holding_says_the_call_again_as_soon_as_it_has_lasted_and_only_once() -> None:
    one = switch()
    one.press(10.0)
    assert one.held(10.79) is None
    assert one.held(10.8) is Action.REPEAT
    assert one.held(11.5) is None
    assert one.release(12.0, paused=False) is None


def test_holding_on_asks_to_stop_and_stops_and_a_key_that_repeats_itself_is_one_press() -> None:
    one = switch()
    for tenth in range(58):  # a keyboard sends a held key again and again
        one.press(10.0 + tenth / 10)
        told = one.held(10.0 + tenth / 10)
        due = {8: Action.REPEAT, 38: Action.QUIT}.get(tenth)
        assert told is due, tenth
    assert one.held(15.8) is Action.QUIT
    assert one.held(30.0) is None
    assert one.release(30.1, paused=False) is None


def test_a_bounce_or_a_tremor_does_nothing() -> None:
    one = switch()
    one.press(10.0)
    assert one.release(10.1, paused=False) is Action.NEXT
    one.press(10.2)
    assert one.release(10.25, paused=False) is None
    one.press(10.3)  # the tremor goes on
    assert one.release(10.35, paused=False) is None
    one.press(11.0)
    assert one.release(11.1, paused=False) is Action.NEXT
