"""What a lesson can be exported as: one writer for each ending of a file name."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import MappingProxyType
from typing import Final

from caller.errors import UserError
from caller.export.files import Finished, replacing
from caller.export.job import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer:
    """A kind of file: what it is for, and the module whose `write(job, path)` writes it.

    The module is imported only when it is needed. `write` gets a name of its own to write to; the file is
    given its final name when it is whole.
    """

    purpose: str
    module: str

    def write(self, job: Job, path: Path) -> None:
        """Write the lesson to `path`."""
        import_module(self.module).write(job, path)


WRITERS: Final[Mapping[str, Writer]] = MappingProxyType(
    {
        ".mp4": Writer(
            purpose="video for a television, a projector or any computer", module="caller.export.video"
        ),
        ".webm": Writer(
            purpose="video in formats free of patents, for a web browser (slower to make)",
            module="caller.export.video",
        ),
        ".wav": Writer(purpose="sound only, exact, for editing", module="caller.export.audio"),
        ".flac": Writer(purpose="sound only, exact, half the size of wav", module="caller.export.audio"),
        ".mp3": Writer(purpose="sound only, for any loudspeaker or phone", module="caller.export.audio"),
        ".m4a": Writer(purpose="sound only, for phones and tablets", module="caller.export.audio"),
        ".vtt": Writer(purpose="captions for the web (WebVTT)", module="caller.export.text"),
        ".srt": Writer(purpose="captions for video players (SubRip)", module="caller.export.text"),
        ".pdf": Writer(
            purpose="a sheet to print, from which the lesson can be led, with move cards to cut out",
            module="caller.export.sheet",
        ),
        ".html": Writer(
            purpose="one web page that plays the lesson, for a laptop that allows no installs",
            module="caller.export.web",
        ),
    }
)
"""Every kind of file by its ending, in the order of the help text."""


def writer_for(target: Path) -> Writer:
    """Return the writer that the ending of `target` names.

    Raises
    ------
    UserError
        If the ending is not a known one.
    """
    try:
        return WRITERS[target.suffix.lower()]
    except KeyError:
        endings = ", ".join(WRITERS)
        raise UserError(f'"{target.name}" does not say what to write: end its name in {endings}.') from None


def export(job: Job, target: Path) -> None:
    """Write a lesson to `target`, whose ending says as what.

    Raises
    ------
    UserError
        If the ending is not a known one, or the folder does not exist.
    MachineError
        If the file cannot be written, or the lesson cannot be spoken.
    """
    writer = writer_for(target)
    with replacing(target) as unfinished:
        writer.write(job, unfinished)


def export_all(job_for: Callable[[Path], Job], folder: Path, name: str) -> Iterator[Path]:
    """Write a lesson in every format to `folder`, and yield each file that was written.

    A file that is there already, written by the same version from the same lesson with the same options, is
    left alone: an export that was cut short goes on with what is missing.
    """
    finished = Finished(folder)
    for suffix in WRITERS:
        target = folder / f"{name}{suffix}"
        job = job_for(target)
        fingerprint = job.fingerprint(job.programme.measured)
        if not finished.holds(target, fingerprint):
            export(job, target)
            finished.add(target, fingerprint)
            yield target
