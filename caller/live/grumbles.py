"""Sound libraries write their troubles to the terminal, past us; a teacher is told in a sentence instead."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Final

_STDERR: Final = 2  # the C library's, whatever Python's own stream is


@contextmanager
def grumbles_hidden() -> Iterator[None]:
    """Throw away what is written to the standard error meanwhile, by whatever part of the process."""
    try:
        kept = os.dup(_STDERR)
    except OSError:  # there is none, as in a program without a console
        yield
        return
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, _STDERR)
        os.close(nowhere)
        yield
    finally:
        with suppress(OSError):
            os.dup2(kept, _STDERR)
        os.close(kept)
