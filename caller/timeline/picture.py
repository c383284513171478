"""The picture function: what the screen shows when a given sample of a call is being heard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from caller.deciding import Side
from caller.moves.poses import shared_bpm
from caller.moves.poses.tables import TEMPO_HZ
from caller.runsheet import Call, FiguresDo
from caller.runsheet.movement import figures_do, moves_on
from caller.screen.scene import ActiveCue, HallSignal, RaisedSignal, Scene
from caller.timeline import CallLayout, LineSpan, samples_of, seconds_of

FRAME_S: Final = 1 / 30
"""Between two pictures, as in the exported videos: a star jump has fifteen, and an old laptop keeps cool."""

RISES_S: Final = 0.25
"""How long the cloth of a signal takes to come up: most of the way in its first tenth of a second."""

SINKS_S: Final = 0.4

_BY_TONE: Final[Mapping[str | None, HallSignal]] = MappingProxyType(
    {"attention": "attention", "time-up": "time-up"}
)
_STEPS_UP: Final = 16  # so many places of a cloth: the same few pictures come again with every tone


def into_frame_s(layout: CallLayout, sample: int) -> float:
    """Return how long before a sample the thirtieth began that it falls into.

    They are counted from the countdown's start: each numeral begins with one.
    """
    return seconds_of(_into_frame(layout, sample))


def _into_frame(layout: CallLayout, sample: int) -> int:
    return (sample - layout.countdown_start) % samples_of(FRAME_S)


def picture_of(layout: CallLayout, sample: int, *, notice: str = "") -> Scene:
    """Return the picture of the thirtieth that a sample falls into: the scene in its middle."""
    middle = sample - _into_frame(layout, sample) + samples_of(FRAME_S) // 2
    return scene_at(layout, middle, notice=notice)


def scene_at(layout: CallLayout, sample: int, *, notice: str = "") -> Scene:
    """Return the scene at `sample`, counted from the call's start.

    Parameters
    ----------
    layout
        The call on the sample clock.
    sample
        The sample being heard; values outside the call show its first or last picture.
    notice
        The program's own word over the picture.
    """
    sample = min(max(sample, 0), max(layout.length - 1, 0))
    begun = [span for span in layout.spans if span.start <= sample]
    current = begun[-1] if begun else None
    left_s, think_s = _think_time(layout, sample)
    doing, move_s = _movement(layout, begun, sample)
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
        doing=doing,
        move_s=move_s,
        bpm=_bpm(layout.call),
        raised=_raised(current, sample),
        notice=notice,
    )


def cloth(signal: HallSignal, *, raised: float, sunk: float = 0.0) -> RaisedSignal:
    """Return the cloth of a signal, the shares of its rising and of its sinking being done, each 0 to 1."""
    up = min(1.0 - (1.0 - min(max(raised, 0.0), 1.0)) ** 2, 1.0 - min(max(sunk, 0.0), 1.0) ** 2)
    return RaisedSignal(signal=signal, up=round(up * _STEPS_UP) / _STEPS_UP)


def hushed(scene: Scene, come: float, *, asked: bool) -> Scene:
    """Return a scene with the cloth that asks for quiet, come up so far (0 to 1); a tone's own goes first."""
    if come <= 0.0 or scene.raised is not None:
        return scene
    share = {"raised": come} if asked else {"raised": 1.0, "sunk": 1.0 - come}
    return replace(scene, raised=cloth("quiet", **share))


def _raised(current: LineSpan | None, sample: int) -> RaisedSignal | None:
    """Return the signal that is seen while its tone is heard: it is gone when the words begin."""
    if current is None or sample >= current.speech_start:
        return None
    signal = _BY_TONE.get(current.line.tone)
    if signal is None:
        return None
    left_s = seconds_of(current.speech_start - sample)
    since_s = seconds_of(sample - current.start)
    return cloth(signal, raised=since_s / RISES_S, sunk=1.0 - left_s / SINKS_S)


def _movement(layout: CallLayout, begun: list[LineSpan], sample: int) -> tuple[FiguresDo, float]:
    """Return what the figures do and for how long they have: what the words ask, standing still included."""
    current = begun[-1] if begun else None
    doing = figures_do(layout.call, len(begun) - 1 if begun else None)
    match doing:
        case "move":
            if _is_shown(layout, current) or layout.move_start <= sample < layout.move_end:
                return "move", seconds_of(sample - layout.move_start)
            return "still", 0.0
        case "show":
            if current is None or _pointed(current, sample) is None or sample < current.speech_start:
                return "still", 0.0
            return "show", seconds_of(sample - current.speech_start)
        case "clap":  # hands meet on every beat, and are ready before the first
            return "clap", seconds_of(sample - _first_beat(begun))
        case "shake":
            return "shake", seconds_of(sample)
        case "breathe":
            return "breathe", _breath(begun, sample)
    return doing, 0.0


def _is_shown(layout: CallLayout, current: LineSpan | None) -> bool:
    """Tell whether the single figure shows its move while it is asked for, ahead of the first beat."""
    asked = [span for span in layout.spans if span.line.written and span.line.count is None]
    return not layout.call.board.lanes and bool(asked) and current is asked[-1]


def _first_beat(begun: list[LineSpan]) -> int:
    """Return where the counting that is going on began."""
    return next(span.start for span in reversed(begun) if span.line.count == 1)


def _breath(begun: list[LineSpan], sample: int) -> float:
    """Return how far the breathing figure has come: in with one line of its own length, out with the next."""
    slots = [span for span in begun if span.line.slot_s is not None]
    if not slots:
        return seconds_of(sample)
    now = slots[-1]
    through = min((sample - now.start) / max(now.end - now.start, 1), 1.0)
    breath = len(slots) - 1 + through
    return breath / 2.0 / TEMPO_HZ["slow-breathing"]


def _bpm(call: Call) -> float:
    """Return the pace of a call's movement: that of its beat, or the one that suits its moves."""
    if call.beat is not None:
        return call.beat.bpm
    return shared_bpm(moves_on(call.board))


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
