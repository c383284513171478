from __future__ import annotations

import numpy as np
import pytest

from caller.clock.said_and_shown import HourSector
from caller.moves import catalogue
from caller.moves.poses import Joint, phase_at
from caller.runsheet import Beat, Board, Call, CallKind, Countdown, FiguresDo, Lane, Line
from caller.screen.figures_on_stage import STEPS, FigureDoing
from caller.screen.scene import RaisedSignal
from caller.timeline import CallLayout, lay_out, samples_of
from caller.timeline.picture import hushed, scene_at

BOARD = Board(layout="clock")


MARCH = Board(layout="figure", move="march")
LANES = Board(
    layout="clock",
    lanes=(
        Lane(side="left", numeral="4:40", words="", move="march", move_name="march"),
        Lane(side="right", numeral="8:20", words="", move="jog-on-the-spot", move_name="jog"),
    ),
)


def laid_out(
    *lines: Line,
    countdown: Countdown | None = None,
    hold_s: float = 0.0,
    kind: CallKind = "reason",
    board: Board = BOARD,
    doing: FiguresDo | None = None,
    bpm: float | None = None,
) -> CallLayout:
    call = Call(
        number=1,
        kind=kind,
        part="round",
        round=1,
        lines=lines,
        board=board,
        countdown=countdown,
        hold_s=hold_s,
        doing=doing,
        beat=None if bpm is None else Beat(bpm=bpm),
    )
    return lay_out(call, speech_length=lambda line: samples_of(2), tone_length=lambda name: samples_of(0.5))


def test_the_caption_is_the_line_being_said_and_stays_through_its_pause() -> None:
    layout = laid_out(Line(written="one", speech="one", pause_s=1.0), Line(written="two", speech="two"))
    assert scene_at(layout, samples_of(2.9)).caption == "one"
    assert scene_at(layout, samples_of(3.0)).caption == "two"


def test_a_signal_rises_with_its_tone_stays_and_is_gone_when_the_words_begin() -> None:
    layout = laid_out(
        Line(written="a", speech="a", tone="time-up", breath_s=0.5), Line(written="b", speech="b")
    )
    ups = [(raised := scene_at(layout, samples_of(n / 100)).raised) and raised.up for n in range(300)]
    assert ups[0] == 0.0
    assert ups[25:60] == [1.0] * 35
    rising, sinking = ups[:60], [up or 0.0 for up in ups[60:]]
    assert rising == sorted(rising, key=lambda up: up or 0.0)
    assert sinking == sorted(sinking, reverse=True)
    assert ups[100:] == [None] * 200


@pytest.mark.parametrize("tone", ["answer", "tick", "sound-check", None])
def test_what_asks_for_nothing_raises_nothing(tone: str | None) -> None:
    layout = laid_out(Line(written="a", speech="a", tone=tone, breath_s=0.5))
    assert all(scene_at(layout, samples_of(n / 10)).raised is None for n in range(30))


def test_the_cloth_that_asks_for_quiet_gives_way_to_a_tones_own() -> None:
    layout = laid_out(Line(written="a", speech="a", tone="attention", breath_s=0.5))
    during, after = scene_at(layout, samples_of(0.3)), scene_at(layout, samples_of(2.0))
    assert hushed(during, 1.0, asked=True) == during
    assert hushed(after, 0.0, asked=False) == after
    asking = hushed(after, 1.0, asked=True).raised
    assert asking == RaisedSignal(signal="quiet", up=1.0)
    sinking = hushed(after, 0.5, asked=False).raised
    assert sinking is not None
    assert 0.0 < sinking.up < 1.0


def test_a_cue_grows_with_its_words_and_then_stays() -> None:
    cue = HourSector(4, lit=4)
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
        kind="catch-up",
        board=MARCH,
    )
    first = scene_at(layout, samples_of(2))
    assert (first.count, first.move_s) == (1, 0.0)
    assert scene_at(layout, samples_of(6)).move_s == 4.0
    over = scene_at(layout, samples_of(8.5))
    assert (over.count, over.doing) == (None, "still")


SAID = Line(written="Time's up. Stand still.", speech="x", tone="time-up", pause_s=1.0)


@pytest.mark.parametrize("kind", ["ready", "question", "time-up", "answer", "reason", "safety", "welcome"])
def test_while_children_listen_the_figures_stand_from_the_first_sample_to_the_last(kind: CallKind) -> None:
    layout = laid_out(SAID, hold_s=2.0, kind=kind, board=LANES)
    seen = {(s.doing, s.move_s) for s in (scene_at(layout, n) for n in range(0, layout.length, 4_800))}
    assert seen == {("still", 0.0)}


def test_a_choice_shows_its_own_lane_and_the_other_stands() -> None:
    layout = laid_out(
        Line(written="a", speech="a", point_to="left", pause_s=1.0),
        Line(written="b", speech="b", point_to="right", pause_s=1.0),
        hold_s=1.0,
        kind="choices",
        board=LANES,
    )
    seen = [scene_at(layout, samples_of(s)) for s in (0.5, 3.5, 6.5)]
    assert [(s.doing, s.point_to) for s in seen] == [("show", "left"), ("show", "right"), ("still", None)]
    assert seen[1].move_s == 0.5


def test_think_time_begins_with_the_countdown_and_ends_with_it() -> None:
    layout = laid_out(
        Line(written="Go!", speech="go", pause_s=0.0),
        countdown=Countdown(seconds=10),
        hold_s=1.0,
        kind="move",
        board=LANES,
    )
    seen = [scene_at(layout, samples_of(s)) for s in (1.9, 2.0, 11.9, 12.0)]
    assert [(s.doing, s.bpm) for s in seen if s.doing == "move"] == [("move", 150.0)] * 2
    assert [s.doing for s in seen] == ["still", "move", "move", "still"]
    assert seen[1].move_s == 0.0


def test_a_warm_up_move_is_shown_as_it_is_asked_and_runs_on_into_the_beat() -> None:
    intro, asked = Line(written="Let's warm up.", speech="x"), Line(written="March.", speech="x", pause_s=0.0)
    layout = laid_out(intro, asked, hold_s=8.0, kind="warm-up", board=MARCH, bpm=120.0)
    before, during, after = (scene_at(layout, samples_of(s)) for s in (1.0, 3.5, 6.5))
    assert (before.doing, during.doing, after.doing) == ("still", "move", "move")
    assert after.move_s - during.move_s == pytest.approx(3.0)
    assert scene_at(layout, layout.move_start).move_s == 0.0


def test_breath_goes_in_with_one_line_and_out_with_the_next() -> None:
    stand = Line(written="Stand still, and let your arms hang.", speech="x", doing="rest")
    breath = [Line(written=w, speech=w, slot_s=s, doing="breathe") for w, s in (("in", 3.0), ("out", 4.0))]
    layout = laid_out(stand, *breath, *breath, kind="close", board=MARCH)
    assert scene_at(layout, 0).doing == "rest"
    at = layout.spans[1].start
    moments = [scene_at(layout, at + samples_of(s)) for s in (0, 3, 7, 10, 13.9)]
    assert {s.doing for s in moments} == {"breathe"}
    breaths = [phase_at("slow-breathing", s.move_s) for s in moments]
    assert breaths == pytest.approx([0.0, 0.5, 0.0, 0.5, 0.9875], abs=1e-6)


@pytest.mark.parametrize("slug", [slug for slug, move in catalogue().items() if move.impact])
@pytest.mark.parametrize("bpm", [110.0, 120.0, 126.0, 150.0, 163.0])
def test_feet_come_down_within_a_frame_of_a_beat(slug: str, bpm: float) -> None:
    """Read off the joints alone: a foot that was in the air stands, and the beats lie at whole multiples."""
    board = Board(layout="figure", move=slug)
    layout = laid_out(
        Line(written="x", speech="x", pause_s=0.0), hold_s=20.0, kind="warm-up", board=board, bpm=bpm
    )
    frame_s, beat_s = 1 / 60, 60.0 / bpm
    heights = []
    for frame in range(600):
        scene = scene_at(layout, layout.move_start + samples_of(frame * frame_s))
        step = FigureDoing(what=slug).step_at(scene.move_s, scene.bpm)
        joints = FigureDoing(what=slug).pose(step).points
        heights.append(
            [joints[[Joint[f"{part}_{side}"] for part in ("HEEL", "BALL", "TOE")], 1].min() for side in "LR"]
        )
    down = np.array(heights) <= 0.002  # of the body: 3 mm
    landed = [f for f in range(1, 600) for side in (0, 1) if down[f, side] and not down[f - 1, side]]
    assert landed
    off_s = [abs(f * frame_s / beat_s - round(f * frame_s / beat_s)) * beat_s for f in landed]
    assert max(off_s) <= frame_s + beat_s * catalogue()[slug].beats / STEPS


def test_samples_outside_the_call_show_its_first_and_last_picture() -> None:
    layout = laid_out(Line(written="one", speech="one"), Line(written="two", speech="two"))
    assert scene_at(layout, -5) == scene_at(layout, 0)
    assert scene_at(layout, layout.length + 5) == scene_at(layout, layout.length - 1)
