from __future__ import annotations

from caller.clock.cues import HourSector
from caller.runsheet.model import Board, Call, Countdown, Line
from caller.timeline.layout import CallLayout, lay_out, samples_of
from caller.timeline.picture import scene_at

BOARD = Board(layout="clock")


def laid_out(*lines: Line, countdown: Countdown | None = None, hold_s: float = 0.0) -> CallLayout:
    call = Call(
        number=1,
        kind="reason",
        part="round",
        round=1,
        lines=lines,
        board=BOARD,
        countdown=countdown,
        hold_s=hold_s,
    )
    return lay_out(call, speech_length=lambda line: samples_of(2), tone_length=lambda name: samples_of(0.5))


def test_the_caption_is_the_line_being_said_and_stays_through_its_pause() -> None:
    layout = laid_out(Line(written="one", speech="one", pause_s=1.0), Line(written="two", speech="two"))
    assert scene_at(layout, samples_of(2.9)).caption == "one"
    assert scene_at(layout, samples_of(3.0)).caption == "two"


def test_a_cue_grows_with_its_words_and_then_stays() -> None:
    cue = HourSector(4)
    layout = laid_out(Line(written="a", speech="a", tone="answer", cue=cue), Line(written="b", speech="b"))
    assert scene_at(layout, samples_of(0.4)).cues == ()
    (half,) = scene_at(layout, samples_of(1.5)).cues
    assert (half.cue, half.progress) == (cue, 0.5)
    (done,) = scene_at(layout, samples_of(4)).cues
    assert (done.cue, done.progress) == (cue, 1.0)


def test_think_time_runs_down_to_nothing() -> None:
    layout = laid_out(Line(written="a", speech="a", pause_s=0), countdown=Countdown(seconds=10))
    assert scene_at(layout, samples_of(1.9)).think_s is None
    scene = scene_at(layout, samples_of(2))
    assert (scene.think_s, scene.left_s) == (10.0, 10.0)
    assert scene_at(layout, samples_of(8)).left_s == 4.0


def test_a_counted_repetition_is_shown_while_it_lasts_and_moves_with_the_figure() -> None:
    layout = laid_out(
        Line(written="Three", speech="three", pause_s=0.0),
        Line(written="1", speech="one", slot_s=3.0, count=1),
        Line(written="2", speech="two", slot_s=3.0, count=2),
        hold_s=1.0,
    )
    first = scene_at(layout, samples_of(2), move_s=40.0)
    assert (first.count, first.move_s) == (1, 0.0)
    assert scene_at(layout, samples_of(6), move_s=44.0).move_s == 4.0
    assert scene_at(layout, samples_of(8.5), move_s=46.5).count is None


def test_samples_outside_the_call_show_its_first_and_last_picture() -> None:
    layout = laid_out(Line(written="one", speech="one"), Line(written="two", speech="two"))
    assert scene_at(layout, -5) == scene_at(layout, 0)
    assert scene_at(layout, layout.length + 5) == scene_at(layout, layout.length - 1)
