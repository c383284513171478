"""The C library's heap kept small while pictures are made.

The GNU C library maps blocks above a limit on their own, gives them back when they are freed, and moves the
limit up to the largest block freed so far. Then parts of pictures land in the heap of each thread, between
small blocks that stay, and leave holes: 90 MB of them in an export at 1080p. A limit once set stays.
"""

from __future__ import annotations

import ctypes
import platform
from typing import Final

_MMAP_THRESHOLD_PARAMETER: Final = -3
"""M_MMAP_THRESHOLD of <malloc.h>; see mallopt(3)."""

_MMAP_THRESHOLD: Final = 256 * 1024
"""Bytes. The parts of a 1080p picture that change at once are larger; what Python keeps is smaller."""


def keep_heap_small() -> None:
    """Have large blocks mapped on their own, in this process, from now on.

    Other C libraries have no such moving limit, and nothing is done there.
    """
    if platform.libc_ver()[0] == "glibc":
        ctypes.CDLL(None).mallopt(_MMAP_THRESHOLD_PARAMETER, _MMAP_THRESHOLD)
