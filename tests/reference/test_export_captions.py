"""Caption files read back by libraries that others wrote: webvtt-py and srt (both from PyPI)."""

from __future__ import annotations

from io import StringIO

import srt
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from caller.export import subtitles
from caller.export.captions import Caption

LINES = st.lists(
    st.text("abc XYZ éß'?!0123456789&", min_size=1, max_size=32).filter(str.strip), min_size=1, max_size=2
)


@st.composite
def some_cues(draw: st.DrawFn) -> list[Caption]:
    cues, at_ms = [], 0
    for lines in draw(st.lists(LINES, min_size=1, max_size=8)):
        at_ms += draw(st.integers(0, 4_000_000))
        end_ms = at_ms + draw(st.integers(1, 60_000))
        cues.append(
            Caption(
                start_s=at_ms / 1000,
                end_s=end_ms / 1000,
                lines=tuple(" ".join(line.split()) for line in lines),
            )
        )
        at_ms = end_ms
    return cues


@given(some_cues())
def test_webvtt_is_read_back_with_the_same_times_and_words(cues: list[Caption]) -> None:
    read = webvtt.from_buffer(StringIO(subtitles.webvtt(cues)))
    assert [(one.start, one.end) for one in read.captions] == [
        (_clock(cue.start_s), _clock(cue.end_s)) for cue in cues
    ]
    assert [one.text.replace("&amp;", "&") for one in read.captions] == ["\n".join(cue.lines) for cue in cues]


@given(some_cues())
def test_subrip_is_read_back_with_the_same_times_and_words(cues: list[Caption]) -> None:
    read = list(srt.parse(subtitles.subrip(cues), ignore_errors=False))
    assert [round(1000 * one.start.total_seconds()) for one in read] == [
        round(1000 * cue.start_s) for cue in cues
    ]
    assert [round(1000 * one.end.total_seconds()) for one in read] == [
        round(1000 * cue.end_s) for cue in cues
    ]
    assert [one.content for one in read] == ["\n".join(cue.lines) for cue in cues]


def _clock(seconds: float) -> str:
    milliseconds = round(1000 * seconds)
    return (
        f"{milliseconds // 3_600_000:02}:{milliseconds // 60_000 % 60:02}:"
        f"{milliseconds // 1000 % 60:02}.{milliseconds % 1000:03}"
    )
