"""What an export is asked to do, and how it tells how far it is."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

import caller
from caller.export.describing import DescribedSound
from caller.export.programme import Programme

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
