from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from caller.runsheet import Board, Call, Countdown, Line
from caller.timeline import CallLayout, lay_out, samples_of, seconds_of

BOARD = Board(layout="clock")
TONE = 9_600  # 0.2 s


def call(*lines: Line, countdown: Countdown | None = None, hold_s: float = 0.0) -> Call:
    return Call(
        number=1,
        kind="move",
        part="round",
        round=1,
        lines=lines,
        board=BOARD,
        countdown=countdown,
        hold_s=hold_s,
    )


def laid_out(made: Call, speech_s: float = 1.0) -> CallLayout:
    return lay_out(made, speech_length=lambda line: samples_of(speech_s), tone_length=lambda name: TONE)


def test_a_line_is_tone_then_breath_then_speech_then_pause() -> None:
    layout = laid_out(
        call(Line(written="Ready", speech="Ready", tone="attention", breath_s=0.5, pause_s=0.25))
    )
    span = layout.spans[0]
    assert [(event.kind, event.start) for event in layout.events] == [("tone", 0), ("speech", TONE + 24_000)]
    assert (span.start, span.speech_start, span.speech_end, span.end) == (0, 33_600, 81_600, 93_600)
    assert layout.length == 93_600


def test_counted_lines_start_exactly_one_slot_apart_however_long_their_words_are() -> None:
    counted = [
        Line(written=word, speech=word, tone="rep", slot_s=2.0, count=n) for n, word in enumerate("abc", 1)
    ]
    layout = laid_out(call(*counted), speech_s=0.7)
    assert [span.start for span in layout.spans] == [0, 96_000, 192_000]
    assert [event.start for event in layout.events if event.kind == "tone"] == [0, 96_000, 192_000]
    assert layout.length == 288_000


def test_think_time_ticks_on_each_second_and_beeps_on_the_last_five() -> None:
    layout = laid_out(call(countdown=Countdown(seconds=25)))
    seconds = {
        name: [seconds_of(event.start) for event in layout.events if event.tone == name]
        for name in ("tick", "beep")
    }
    assert seconds == {"tick": [float(s) for s in range(1, 20)], "beep": [20.0, 21.0, 22.0, 23.0, 24.0]}
    assert layout.length == samples_of(25)


@given(
    st.lists(
        st.builds(
            Line,
            written=st.just("x"),
            speech=st.sampled_from(["", "x"]),
            tone=st.sampled_from([None, "attention"]),
            breath_s=st.floats(0, 2),
            pause_s=st.floats(0, 2),
            slot_s=st.none() | st.floats(0, 4),
        ),
        max_size=6,
    ),
    st.none() | st.builds(Countdown, seconds=st.integers(1, 60), beeps=st.integers(0, 5)),
    st.floats(0, 5),
)
def test_nothing_overlaps_and_nothing_is_lost(
    lines: list[Line], countdown: Countdown | None, hold_s: float
) -> None:
    layout = laid_out(call(*lines, countdown=countdown, hold_s=hold_s))
    cursor = 0
    for span in layout.spans:
        assert cursor == span.start <= span.speech_start <= span.speech_end <= span.end
        cursor = span.end
    assert layout.countdown_start == cursor <= layout.countdown_end <= layout.length
    assert all(0 <= event.start < max(layout.length, 1) for event in layout.events)
