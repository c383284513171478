"""Captions as a file; descriptions stand among them in square brackets."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from caller.export.captions import Cue, captions
from caller.export.job import Job
from caller.export.subtitles import subrip, webvtt
from caller.file_writing import fill


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


def _bracketed(cue: Cue) -> Cue:
    first, *rest = cue.lines
    lines = [f"[{first}", *rest]
    return replace(cue, lines=(*lines[:-1], f"{lines[-1]}]"))
