from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.clock import ClockTime
from caller.export.web.canvas import Pieces
from caller.export.web.pictures import CALM, FULL, PictureBook, Track, moments
from caller.runsheet import Board, Call, Countdown, Dial, Lane, Line
from caller.screen.theme import LIGHT
from caller.sound import SAMPLE_RATE
from caller.timeline import CallLayout, lay_out

LANES = (
    Lane(side="left", numeral="4:40", words="twenty to five", move="star-jumps", move_name="star jumps"),
    Lane(side="right", numeral="8:20", words="twenty past eight", move="march", move_name="march"),
)


def think_call(*, said_s: float = 1.3, think_s: int = 6) -> CallLayout:
    board = Board(layout="clock", dials=(Dial(time=ClockTime(4, 40)),), lanes=LANES)
    call = Call(
        number=1,
        kind="move",
        part="round",
        round=1,
        lines=(Line(written="Go!", speech="Go!", pause_s=0.2),),
        board=board,
        countdown=Countdown(seconds=think_s),
    )
    said = round(said_s * SAMPLE_RATE)
    return lay_out(call, speech_length=lambda _: said, tone_length=lambda _: 4_800)


@given(start=st.integers(0, 10**8), said_s=st.floats(0.1, 4.0))
def test_what_begins_or_ends_is_on_time_and_movement_keeps_the_lessons_own_beat(
    start: int, said_s: float
) -> None:
    layout = think_call(said_s=said_s)
    found = moments(layout, start, FULL.rate_hz)
    assert found[0] == 0
    assert found == sorted(set(found))
    assert found[-1] < layout.length
    on_time = {layout.spans[0].speech_end, layout.countdown_start}
    on_time |= {layout.countdown_start + second * SAMPLE_RATE for second in range(6)}
    assert on_time <= set(found)
    beat = SAMPLE_RATE // FULL.rate_hz
    assert max(after - before for before, after in pairwise(found)) <= beat
    assert all((start + sample) % beat == 0 for sample in set(found) - on_time - {0})


def test_of_two_pictures_in_one_millisecond_the_later_stands() -> None:
    track = Track()
    for start_ms, picture in ((0, 7), (83, 8), (83, 9), (167, 9), (250, 7), (250, 9)):
        track.add(start_ms, picture)
    assert (track.starts_ms, track.pictures) == ([0, 83], [7, 9])


def test_figures_in_the_calm_pictures_hold_each_pose_for_a_second() -> None:
    poses = [CALM.moving_s(tenth / 10) for tenth in range(40)]
    assert [poses.count(pose) for pose in sorted(set(poses))] == [10, 10, 10, 10]


def test_the_calm_pictures_change_seldom_but_count_the_last_seconds_on_time() -> None:
    layout = think_call()
    book = PictureBook(width=640, height=360, theme=LIGHT)
    book.add(layout, 0)
    full, calm = book.tracks["full"], book.tracks["calm"]
    assert len(full.pictures) > 3 * len(calm.pictures)
    count_starts = {round(1000 * (layout.countdown_start / SAMPLE_RATE + second)) for second in range(1, 6)}
    assert count_starts <= set(full.starts_ms)
    assert count_starts <= set(calm.starts_ms)


def test_pictures_without_captions_differ_only_by_the_words() -> None:
    layout = think_call()
    book = PictureBook(width=640, height=360, theme=LIGHT)
    book.add(layout, 0)
    said = {
        markup
        for number in book.tracks["full"].pictures
        for group in book.pictures.items[number]
        for markup, _ in book.pieces.symbols.items[book.pieces.groups.items[group][0]]
        if "Go!" in book.pieces.markup.items[markup]
    }
    assert said
    plain = {
        markup
        for number in book.tracks["full-plain"].pictures
        for group in book.pictures.items[number]
        for markup, _ in book.pieces.symbols.items[book.pieces.groups.items[group][0]]
    }
    assert not said & plain


def test_what_looks_alike_is_drawn_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The children think for six seconds, a dozen pictures each: only beads and numbers go on."""
    drawn: list[int] = []
    for way in ("drawn", "figure"):
        made = getattr(Pieces, way)

        def counted(*args: Any, made: Callable[..., Any] = made) -> Any:
            drawn.append(1)
            return made(*args)

        monkeypatch.setattr(Pieces, way, counted)
    layout = think_call()
    book = PictureBook(width=640, height=360, theme=LIGHT)
    book.add(layout, 0)
    first, pictures = len(drawn), len(book.tracks["full"].pictures)
    assert pictures > 60
    book.add(layout, SAMPLE_RATE * 3600)
    assert len(drawn) == first
    standing = {group for number in book.tracks["full"].pictures for group in book.pictures.items[number]}
    assert first < 2 * len(standing)
