"""The one door to the drawing library, with stand-ins for what a machine without a desktop lacks.

Skia's wheel for Linux links both, and of the two this program calls nothing: it draws in memory. Where the
system has neither (a bare Debian, a container), loading fails, and installing them takes root and 50 MB.
So each missing one is written here, in memory, as the smallest shared library that has its name and the
functions Skia asks for, all of which return 0. Nothing is left on disk.

The wheel links two shared libraries that any Linux desktop has and a bare machine lacks; there, stand-ins
take their place (see `gl_stub`). What still cannot load is told once, in words, by the module that first
meets it.
"""

from __future__ import annotations

import ctypes
import os
import platform
import re
from contextlib import ExitStack
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from struct import pack
from types import ModuleType
from typing import TYPE_CHECKING, Final

from caller.errors import DrawingError

_WANTED: Final = {"libEGL.so.1": rb"\0(egl[A-Z]\w*)(?=\0)", "libGL.so.1": rb"\0(gl[A-Z]\w*)(?=\0)"}
"""Which names in Skia's binary belong to which library. A name too many does no harm."""

SONAMES: Final = tuple(_WANTED)

# The number that ELF gives a processor, and "return 0" in its instructions.
_PROCESSORS: Final = {
    "x86_64": (62, bytes.fromhex("31c0c3")),  # xor eax, eax; ret
    "aarch64": (183, bytes.fromhex("000080d2c0035fd6")),  # mov x0, 0; ret
}
_WRITABLE_AT: Final = 1 << 16  # the largest page there is on these processors


def load_missing(binary: Path) -> None:
    """Put a stand-in in the place of each library that `binary` links and the system lacks.

    Raises
    ------
    OSError
        This system does not let a library be loaded from memory.
    KeyError
        This is another processor than the two known here.
    """
    machine, code = _PROCESSORS[platform.machine()]
    wanted = names_in(binary.read_bytes())
    with ExitStack() as held:  # closed together: the loader takes one path for one library
        for soname, names in wanted.items():
            try:
                ctypes.CDLL(soname, mode=ctypes.RTLD_GLOBAL)
            except OSError:
                file = held.enter_context(os.fdopen(os.memfd_create(soname), "wb"))
                file.write(shared_library(soname.encode(), names, machine, code))
                file.flush()
                ctypes.CDLL(f"/proc/self/fd/{file.fileno()}", mode=ctypes.RTLD_GLOBAL)


def names_in(content: bytes) -> dict[str, list[bytes]]:
    """Return, for each library that may be missing, the functions that a binary names of it."""
    return {soname: sorted(set(re.findall(pattern, content))) for soname, pattern in _WANTED.items()}


def shared_library(soname: bytes, names: list[bytes], machine: int, code: bytes) -> bytes:
    """Return an ELF file for a 64-bit little-endian processor whose functions `names` all run `code`.

    Laid out as in the System V ABI (gABI 4.1, chapters 4 and 5): header, three program headers, the code,
    the strings, the symbols, one chain for looking them up, and the dynamic section. The file is mapped
    twice, to run and to be written to, so that no memory is both.
    """
    strings = b"\0".join([b"", soname, *names, b""])
    code_at = 64 + 3 * 56
    strings_at = code_at + len(code)
    symbols_at = _aligned(strings_at + len(strings))
    symbols = bytes(24)
    for name in names:
        global_function, in_a_section = 0x12, 1
        symbols += pack(
            "<IBBHQQ",
            strings.index(b"\0" + name + b"\0") + 1,
            global_function,
            0,
            in_a_section,
            code_at,
            len(code),
        )
    count = len(names) + 1
    # One bucket: every symbol is in the same chain, each followed by the next.
    chain = pack(f"<{3 + count}I", 1, count, 1, 0, *range(2, count), 0)
    chain_at = symbols_at + len(symbols)
    dynamic_at = _aligned(chain_at + len(chain))
    soname_tag, hash_tag, strings_tag, symbols_tag, strings_size_tag, symbol_size_tag = 14, 4, 5, 6, 10, 11
    dynamic = pack(
        "<14Q",
        *(soname_tag, 1),
        *(hash_tag, chain_at),
        *(strings_tag, strings_at),
        *(symbols_tag, symbols_at),
        *(strings_size_tag, len(strings)),
        *(symbol_size_tag, 24),
        *(0, 0),
    )
    size = dynamic_at + len(dynamic)
    load, dynamic_segment, readable, writable, runnable = 1, 2, 4, 2, 1
    header = pack(
        "<16sHHIQQQIHHHHHH", b"\x7fELF\x02\x01\x01", 3, machine, 1, 0, 64, 0, 0, 64, 56, 3, 64, 0, 0
    )
    header += pack("<IIQQQQQQ", load, readable | runnable, 0, 0, 0, size, size, _WRITABLE_AT)
    header += pack(
        "<IIQQQQQQ", load, readable | writable, 0, _WRITABLE_AT, _WRITABLE_AT, size, size, _WRITABLE_AT
    )
    place = _WRITABLE_AT + dynamic_at
    header += pack(
        "<IIQQQQQQ",
        dynamic_segment,
        readable | writable,
        dynamic_at,
        place,
        place,
        len(dynamic),
        len(dynamic),
        8,
    )
    body = (header + code + strings).ljust(symbols_at, b"\0") + symbols + chain
    return body.ljust(dynamic_at, b"\0") + dynamic


def _aligned(place: int) -> int:
    return -(-place // 8) * 8


MENDING = (
    "The drawing library (skia-python) cannot load: on Debian or Ubuntu run "
    "`sudo apt install libegl1 libgl1`, elsewhere `pip install --force-reinstall skia-python`."
)


def _load_without_a_desktop(refused: ImportError) -> None:
    """Put stand-ins where graphics libraries are missing; raise `DrawingError` if that cannot be."""
    found = find_spec("skia")
    if found is None or found.origin is None or not any(name in str(refused) for name in SONAMES):
        raise DrawingError(MENDING) from refused
    try:
        load_missing(Path(found.origin))
    except (OSError, KeyError, AttributeError) as trouble:
        raise DrawingError(MENDING) from trouble


def _loaded() -> ModuleType:
    try:
        return import_module("skia")
    except ImportError as refused:
        _load_without_a_desktop(refused)
    try:
        return import_module("skia")
    except ImportError as again:
        raise DrawingError(MENDING) from again


class _Library:
    """The library, loaded when it is first asked for something: a lesson is heard before it is seen.

    Raises `DrawingError` then if it cannot be.
    """

    def __getattr__(self, name: str) -> object:
        library = _loaded()
        vars(self).update(vars(library))  # from here on, as quick as the module itself
        return getattr(library, name)


if TYPE_CHECKING:
    import skia
else:
    skia = _Library()

__all__ = ["MENDING", "skia"]
