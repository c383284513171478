"""Captions as a file; with descriptions asked for, those stand in a second file beside it."""

from __future__ import annotations

from pathlib import Path

from caller.export.captions import captions
from caller.export.job import Job
from caller.export.subtitles import subrip, webvtt


def write(job: Job, path: Path) -> None:
    """Write the lesson's captions to `path`, as WebVTT or SubRip by its ending."""
    programme = job.programme
    cues = captions(programme.layouts, programme.starts)
    text = webvtt(cues) if path.suffix == ".vtt" else subrip(cues)
    path.write_text(text, encoding="utf-8", newline="\n")
    job.progress(1.0)
