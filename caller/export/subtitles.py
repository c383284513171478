"""Captions as a file, WebVTT (W3C) or SubRip; descriptions stand among them in square brackets."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from caller.export.captions import Caption, captions
from caller.export.formats import Job
from caller.file_writing import fill


def webvtt(cues: Iterable[Caption], language: str = "") -> str:
    """Return a WebVTT file; `&`, `<` and `>` are written as the format asks.

    Lines in another language than `language` are marked with their own, for voices that read captions aloud.
    """
    blocks = [
        f"{_clock(cue.start_s, '.')} --> {_clock(cue.end_s, '.')}\n{webvtt_text(cue, language)}\n"
        for cue in cues
    ]
    return "\n".join(["WEBVTT\n", *blocks])


def webvtt_text(cue: Caption, language: str = "") -> str:
    """Return the text of one WebVTT cue; language spans are those of the W3C's WebVTT, 4.2.2."""
    lines = [line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;") for line in cue.lines]
    spoken = cue.languages if language and len(cue.languages) == len(lines) else (language,) * len(lines)
    return "\n".join(
        line if each == language else f"<lang {each}>{line}</lang>"
        for line, each in zip(lines, spoken, strict=True)
    )


def subrip(cues: Iterable[Caption]) -> str:
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


def write(job: Job, path: Path) -> None:
    """Write the lesson's captions to `path`, as WebVTT or SubRip by its ending."""
    programme = job.programme
    cues = [*captions(programme.layouts, programme.starts, language=programme.run_sheet.language)]
    if job.described is not None:
        cues += [_bracketed(cue) for cue in job.described.cues]
        cues.sort(key=lambda cue: cue.start_s)
    text = webvtt(cues, programme.run_sheet.language) if path.suffix.lower() == ".vtt" else subrip(cues)
    fill(path, text)
    job.progress(1.0)


def _bracketed(cue: Caption) -> Caption:
    first, *rest = cue.lines
    lines = [f"[{first}", *rest]
    return replace(cue, lines=(*lines[:-1], f"{lines[-1]}]"))
