"""The lesson as a sound file."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import av

from caller.export.job import Job
from caller.export.programme import BLOCK
from caller.export.sounds import AAC, FLAC, MP3, WAV, SoundFormat, SoundTrack

FORMATS: Final[dict[str, tuple[str, SoundFormat]]] = {
    ".wav": ("wav", WAV),
    ".flac": ("flac", FLAC),
    ".mp3": ("mp3", MP3),
    ".m4a": ("ipod", AAC),
}
"""The container and the encoding for each ending."""


def write(job: Job, path: Path) -> None:
    """Write the lesson's sound to `path`, in the format its ending names; with descriptions if there are any.

    Raises
    ------
    SoundError
        If sentences of the lesson could not be spoken.
    """
    programme = job.programme
    programme.require_voice()
    container_format, sound_format = FORMATS[path.suffix.lower()]
    with av.open(path, "w", format=container_format) as container:
        container.metadata["title"] = programme.run_sheet.title
        track = SoundTrack(
            container, job.described or programme, sound_format, language=programme.run_sheet.language
        )
        while track.written < programme.length:
            track.write_until(track.written + BLOCK)
            job.progress(track.written / programme.length)
        track.finish()
