"""Captions as text: WebVTT (W3C) and SubRip."""

from __future__ import annotations

from collections.abc import Iterable

from caller.export.captions import Cue


def webvtt(cues: Iterable[Cue]) -> str:
    """Return a WebVTT file; `&`, `<` and `>` are written as the format asks."""
    blocks = [
        f"{_clock(cue.start_s, '.')} --> {_clock(cue.end_s, '.')}\n{webvtt_text(cue)}\n" for cue in cues
    ]
    return "\n".join(["WEBVTT\n", *blocks])


def webvtt_text(cue: Cue) -> str:
    """Return the text of one WebVTT cue."""
    text = "\n".join(cue.lines)
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def subrip(cues: Iterable[Cue]) -> str:
    """Return a SubRip file."""
    return "\n".join(
        f"{number}\n{_clock(cue.start_s, ',')} --> {_clock(cue.end_s, ',')}\n" + "\n".join(cue.lines) + "\n"
        for number, cue in enumerate(cues, start=1)
    )


def milliseconds(seconds: float) -> int:
    """Return the whole number of milliseconds nearest to `seconds`."""
    return round(1000 * seconds)


def _clock(seconds: float, point: str) -> str:
    minutes, thousandths = divmod(milliseconds(seconds), 60_000)
    hours, minutes = divmod(minutes, 60)
    whole, thousandths = divmod(thousandths, 1000)
    return f"{hours:02}:{minutes:02}:{whole:02}{point}{thousandths:03}"
