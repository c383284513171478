"""The one door for printing: what the program says gets out, whatever the terminal, pipe or file is like.

Letters that it cannot hold are spelt in ones that it can, and what would be a command to a terminal is shown
as a question mark in a box. A reader who has seen enough (`| head`) is no error; a closed standard output
takes nothing and asks for nothing; one that is full, or fails, is one sentence and exit code 1.
"""

from __future__ import annotations

import codecs
import contextlib
import io
import json
import os
import sys
import time
import traceback
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, TextIO, cast

from caller.errors import CallerError, MachineError, harmless
from caller.file_reading import NO_MEMORY
from caller.file_writing import write_text

NAME: Final = "hall-caller"
DETAILS: Final = "HALL_CALLER_DETAILS"
"""The variable that names a new file for the details of an error that should not happen."""

_SPELT: Final = str.maketrans(
    {
        "–": "-", "—": "-", "−": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "„": '"', "…": "...",
        "×": "x", "·": ".", "°": " degrees", "≥": ">=", "≤": "<=", "→": "->", "ß": "ss", "œ": "oe", "æ": "ae",
        "Œ": "OE", "Æ": "AE", "«": '"', "»": '"', "¿": "?", "¡": "!", "½": "1/2",
        "\u202f": " ", "\u00a0": " ",
    }
)  # fmt: skip
_BAR: Final = 40
_ERRORS: Final = "hall-caller-spelt"


class _Out:
    """A text stream that takes anything, and tells a fault of what lies behind it as ours."""

    def __init__(self, stream: TextIO, *, bars: bool) -> None:
        self._stream = stream
        self._bars = bars  # a progress bar goes back to the start of its line

    def write(self, text: str) -> int:
        """Write `text`, harmless to a terminal."""
        with self._told():
            self._stream.write("\r".join(map(harmless, text.split("\r"))) if self._bars else harmless(text))
        return len(text)

    def flush(self) -> None:
        """Send out what is held back."""
        with self._told():
            self._stream.flush()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except BrokenPipeError:
            raise
        except OSError as error:
            raise MachineError(
                f"What there is to say cannot be printed ({error.strerror}): print it to another place."
            ) from error


@contextmanager
def printing() -> Iterator[None]:
    """Let everything printed in the body go through this door."""
    _open_standard_streams()
    codecs.register_error(_ERRORS, _spelt)
    said, complained = sys.stdout, sys.stderr
    whole, apart = _buffered(said), _apart(complained)
    for stream in (whole, apart):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=_ERRORS)
    sys.stdout, sys.stderr = cast(TextIO, _Out(whole, bars=False)), cast(TextIO, _Out(apart, bars=True))
    try:
        yield
    finally:
        sys.stdout, sys.stderr = said, complained
        if apart is not complained:
            with contextlib.suppress(OSError):
                apart.close()
        if isinstance(whole, io.TextIOWrapper) and whole is not said:
            with contextlib.suppress(OSError):
                whole.detach().detach()  # else what lies behind would be closed with it


def _apart(stream: TextIO) -> TextIO:
    """Return a stream to the same place with a number of its own, so that libraries can be silenced."""
    if os.name != "posix":  # on Windows a console is more than its number
        return stream
    try:
        return os.fdopen(
            os.dup(stream.fileno()), "w", encoding=stream.encoding, errors=stream.errors, buffering=1
        )
    except (AttributeError, OSError, ValueError):  # there is none, or it is no file
        return stream


def finish() -> None:
    """Send out what has been printed; what cannot go out is an error now, not as the program ends."""
    try:
        sys.stdout.flush()
    except BaseException:
        discard_output()
        raise


def discard_output() -> None:
    """Let what is still held back go nowhere, so that ending the program says nothing about it."""
    with contextlib.suppress(OSError, ValueError):  # a stream of a test's has no number
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def complain(text: str) -> None:
    """Print a sentence about what went wrong; where even that cannot be printed, the exit code tells."""
    with contextlib.suppress(CallerError, OSError):
        print(f"{NAME}: {text}", file=sys.stderr)
        sys.stderr.flush()


def unexpected(error: BaseException) -> None:
    """Tell in one sentence of an error that should not happen; the details go to a file, if one is named."""
    if _out_of_memory(error):
        complain(NO_MEMORY)
        return
    wanted = os.environ.get(DETAILS)
    where = f"set {DETAILS} to the name of a new file, do it again, and send that file"
    if wanted:
        with contextlib.suppress(CallerError):
            write_text(Path(wanted), "".join(traceback.format_exception(error)), private=True)
            where = f"the details are in {wanted}"
    kind = type(error).__name__
    complain(f"Something went wrong that is not your fault ({kind}). To have it mended, {where}.")


def as_json(told: object) -> str:
    """Return `told` as JSON for people to read too; what a terminal would take as a command is escaped."""
    text = json.dumps(told, ensure_ascii=False, indent=1)
    return "".join(
        letter if harmless(letter) == letter else json.dumps(letter)[1:-1] if letter != "\n" else letter
        for letter in text
    )


class Bar:
    """A progress bar on a terminal; one plain line at the start anywhere else."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._drawn = -1
        self._began_s = time.monotonic()

    def __call__(self, share: float) -> None:
        """Show how much is done, from 0 to 1."""
        done = int(_BAR * min(share, 1.0))
        if not sys.stderr.isatty():
            if self._drawn < 0:
                print(f"Writing {self._name} ...", file=sys.stderr)
            self._drawn = done
            return
        if done == self._drawn:
            return
        self._drawn = done
        left_s = (time.monotonic() - self._began_s) * (1 - share) / share if share > 0 else 0.0
        bar = "#" * done + "." * (_BAR - done)
        end = "\n" if share >= 1.0 else ""
        print(
            f"\r{self._name} [{bar}] {share:4.0%}  {left_s / 60:3.0f} min left",
            end=end,
            file=sys.stderr,
            flush=True,
        )


def _out_of_memory(error: BaseException) -> bool:
    said = str(error)
    return (
        isinstance(error, MemoryError) or "Cannot allocate memory" in said or "can't start new thread" in said
    )


def _spelt(error: UnicodeError) -> tuple[str, int]:
    """Spell letters that an encoding does not have: a codec's error handler."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    spelt = []
    for letter in error.object[error.start : error.end]:
        plain = letter.translate(_SPELT)
        bare = "".join(
            part for part in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(part)
        )
        spelt.append(bare if bare.isascii() else "?")
    return "".join(spelt), error.end


def _buffered(stream: TextIO) -> TextIO:
    """Return a stream that goes on after a part was taken: without a buffer, Python drops the rest."""
    raw = getattr(stream, "buffer", None)
    if not isinstance(raw, io.RawIOBase):
        return stream
    return io.TextIOWrapper(io.BufferedWriter(raw), encoding=stream.encoding, line_buffering=True)


def _open_standard_streams() -> None:
    """Put nothing in the place of what is closed: a file opened later would stand there and be printed to."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            with contextlib.suppress(OSError):
                while (opened := os.open(os.devnull, os.O_RDWR)) < number:
                    pass
                if opened != number:
                    os.close(opened)
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, PTH123 - it stays
