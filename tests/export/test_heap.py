from __future__ import annotations

import platform
import subprocess
import sys

import pytest

# mallinfo2(3): `hblkhd`, the fifth number, is how many bytes are in blocks mapped on their own.
MAPPED = """
import ctypes
from caller.export.heap import keep_heap_small
libc = ctypes.CDLL(None)
libc.malloc.restype, libc.malloc.argtypes = ctypes.c_void_p, [ctypes.c_size_t]
libc.free.argtypes = [ctypes.c_void_p]
class Mallinfo(ctypes.Structure):
    _fields_ = [(str(number), ctypes.c_size_t) for number in range(10)]
libc.mallinfo2.restype = Mallinfo
mapped = lambda: getattr(libc.mallinfo2(), "4")
if {keep}:
    keep_heap_small()
libc.free(libc.malloc(8_000_000))
before = mapped()
block = libc.malloc(1_000_000)
print(mapped() - before)
"""


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="only the GNU C library moves its limit")
@pytest.mark.parametrize("keep", [True, False])
def test_a_large_block_is_mapped_on_its_own_even_after_a_larger_one_was_freed(keep: bool) -> None:
    done = subprocess.run(
        [sys.executable, "-c", MAPPED.replace("{keep}", str(keep))],
        capture_output=True,
        text=True,
        check=True,
    )
    assert (int(done.stdout) >= 1_000_000) == keep
