"""What an export is asked to do, and what a lesson can be exported as: one writer for each ending."""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import MappingProxyType
from typing import Final, Literal

import caller
from caller.errors import CallerError, UserError
from caller.export.describing import DescribedSound
from caller.export.programme import Programme
from caller.file_reading import read_bytes
from caller.file_writing import check_target, make_folder, replacing, write_text

Paper = Literal["a4", "letter"]
SIZES: Final = {"720p": (1280, 720), "1080p": (1920, 1080), "4k": (3840, 2160)}
RATES: Final = (25, 30)

Progress = Callable[[float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """What the person chose; `paper` None is what the lesson's country prints on."""

    size: str = "1080p"
    fps: int = 30
    theme: str = "light"
    burn_captions: bool = True
    describe: bool = False
    paper: Paper | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A lesson to be written, and how."""

    programme: Programme
    described: DescribedSound | None = None  # where clocks are to be described
    options: Options = Options()
    progress: Progress = lambda _share: None

    def fingerprint(self, *more: object) -> str:
        """Return what the written files depend on, as one short word: the same word, the same files."""
        sheet = self.programme.run_sheet
        # The calls hold everything that is seen and said; what they sound like shows in the starts.
        facts = (
            caller.__version__,
            sheet.title,
            sheet.language,
            sheet.calls,
            self.programme.starts,
            self.options,
        )
        return hashlib.sha256(repr((*facts, *more)).encode()).hexdigest()


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
        ".vtt": Writer(purpose="captions for the web (WebVTT)", module="caller.export.subtitles"),
        ".srt": Writer(purpose="captions for video players (SubRip)", module="caller.export.subtitles"),
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

_LARGEST_NOTE_BYTES: Final = 100_000


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


def export(job: Job, target: Path, *, replace: bool = False) -> None:
    """Write a lesson to `target`, whose ending says as what; `replace`: one that is there may go.

    Raises
    ------
    UserError
        If the ending is not a known one, or the folder does not exist.
    MachineError
        If the file cannot be written, or the lesson cannot be spoken.
    """
    writer = writer_for(target)
    with replacing(target, replace=replace) as unfinished:
        writer.write(job, unfinished)


class Finished:
    """What an export into a folder has finished, noted in the folder itself.

    The note (`.finished.json`) holds each file's size and what it was made from.
    """

    def __init__(self, folder: Path) -> None:
        self._note = folder / ".finished.json"
        self._files: dict[str, list[str | int]] = {}
        with contextlib.suppress(CallerError, ValueError, RecursionError):
            noted = json.loads(read_bytes(self._note, most_bytes=_LARGEST_NOTE_BYTES))
            self._files = noted if isinstance(noted, dict) else {}

    def holds(self, target: Path, fingerprint: str) -> bool:
        """Tell whether `target` is there, whole, and made from this."""
        return target.is_file() and self._files.get(target.name) == [fingerprint, target.stat().st_size]

    def add(self, target: Path, fingerprint: str) -> None:
        """Note that `target` is finished."""
        self._files[target.name] = [fingerprint, target.stat().st_size]
        write_text(self._note, json.dumps(self._files, indent=1), replace=True)


def export_all(
    job_for: Callable[[Path], Job], folder: Path, name: str, *, replace: bool = False
) -> Iterator[Path]:
    """Write a lesson in every format to `folder`, made if it is not there; yield each file that was written.

    A file that is there already, written by the same version from the same lesson with the same options, is
    left alone: an export that was cut short goes on with what is missing.

    Raises
    ------
    UserError
        If another file has one of the names and `replace` does not let it go; nothing is written then.
    MachineError
        As for `export`.
    """
    make_folder(folder)
    finished = Finished(folder)
    wanted = []
    for suffix in WRITERS:
        target = folder / f"{name}{suffix}"
        job = job_for(target)
        fingerprint = job.fingerprint(job.programme.measured)
        if not finished.holds(target, fingerprint):
            check_target(target, replace=replace)
            wanted.append((job, target, fingerprint))
    for job, target, fingerprint in wanted:
        export(job, target, replace=replace)
        finished.add(target, fingerprint)
        yield target
