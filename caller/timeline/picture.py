"""The picture function: what the screen shows when a given sample of a call is being heard."""

from __future__ import annotations

from caller.runsheet.model import Side
from caller.screen.scene import ActiveCue, Scene
from caller.timeline.layout import CallLayout, LineSpan, seconds_of


def scene_at(layout: CallLayout, sample: int, *, move_s: float = 0.0, notice: str = "") -> Scene:
    """Return the scene at `sample`, counted from the call's start.

    Parameters
    ----------
    layout
        The call on the sample clock.
    sample
        The sample being heard; values outside the call show its first or last picture.
    move_s
        Seconds for which the figures have been moving, so that they move on from call to call.
    notice
        The program's own word over the picture.
    """
    sample = min(max(sample, 0), max(layout.length - 1, 0))
    begun = [span for span in layout.spans if span.start <= sample]
    current = begun[-1] if begun else None
    left_s, think_s = _think_time(layout, sample)
    return Scene(
        board=layout.call.board,
        caption=_caption(begun),
        cues=tuple(
            ActiveCue(cue=span.line.cue, progress=_progress(span, sample))
            for span in begun
            if span.line.cue is not None and sample >= span.speech_start
        ),
        point_to=_pointed(current, sample),
        count=current.line.count if current is not None and sample < current.end else None,
        think_s=think_s,
        left_s=left_s,
        move_s=_move_time(layout, sample, move_s),
        notice=notice,
    )


def _move_time(layout: CallLayout, sample: int, move_s: float) -> float:
    """Figures move on from call to call, but counted repetitions start together with the count."""
    counted = next((span.start for span in layout.spans if span.line.count is not None), None)
    return move_s if counted is None or sample < counted else seconds_of(sample - counted)


def _progress(span: LineSpan, sample: int) -> float:
    """How much of the line has been said: a cue grows with its words and then stays."""
    length = max(span.speech_end - span.speech_start, 1)
    return min(max((sample - span.speech_start) / length, 0.0), 1.0)


def _caption(begun: list[LineSpan]) -> str:
    """The words being said stay up until the next ones, through think time and holds."""
    for span in reversed(begun):
        if span.line.written and span.line.count is None:  # a count stands large by itself
            return span.line.written
    return ""


def _pointed(current: LineSpan | None, sample: int) -> Side | None:
    return current.line.point_to if current is not None and sample < current.end else None


def _think_time(layout: CallLayout, sample: int) -> tuple[float, float | None]:
    if layout.call.countdown is None or not layout.countdown_start <= sample < layout.countdown_end:
        return 0.0, None
    return seconds_of(layout.countdown_end - sample), float(layout.call.countdown.seconds)
