"""The stand-ins for graphics libraries are libraries: the system's own loader takes them."""

from __future__ import annotations

import ctypes
import platform
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.errors import DrawingError
from caller.screen import skia_door
from caller.screen import skia_door as gl_stub

PROCESSOR = gl_stub._PROCESSORS.get(platform.machine())
RUNS_HERE = pytest.mark.skipif(
    sys.platform != "linux" or PROCESSOR is None, reason="the stand-ins are for Linux on two processors"
)


@RUNS_HERE
@settings(max_examples=20)
@given(names=st.sets(st.from_regex(rb"gl[A-Z][a-z]{0,8}", fullmatch=True), min_size=1, max_size=300))
def test_every_name_is_a_function_that_returns_0(
    names: set[bytes], tmp_path_factory: pytest.TempPathFactory
) -> None:
    assert PROCESSOR is not None
    path = tmp_path_factory.mktemp("stub") / "libstub.so.1"
    path.write_bytes(gl_stub.shared_library(b"libstub.so.1", sorted(names), *PROCESSOR))
    library = ctypes.CDLL(str(path))
    assert {library[name.decode()]() for name in names} == {0}
    with pytest.raises(AttributeError):
        library["glNone"]


@RUNS_HERE
def test_the_loader_knows_it_by_its_name_afterwards() -> None:
    """So that whoever links the library finds this one: in a process of its own, which nothing has loaded."""
    program = (
        "import ctypes, os, sys\n"
        "from caller.screen.skia_door import shared_library, _PROCESSORS\n"
        "import platform\n"
        "made = shared_library(b'libnowhere.so.9', [b'glNothing'], *_PROCESSORS[platform.machine()])\n"
        "file = open(os.memfd_create('made'), 'wb'); file.write(made); file.flush()\n"
        "ctypes.CDLL(f'/proc/self/fd/{file.fileno()}')\n"
        "print(ctypes.CDLL('libnowhere.so.9').glNothing())\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert done.stdout.split() == ["0"], done.stderr


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux's wheel links them")
def test_the_names_are_read_from_the_drawing_library_itself() -> None:
    found = find_spec("skia")
    assert found is not None
    assert found.origin is not None
    wanted = gl_stub.names_in(Path(found.origin).read_bytes())
    assert b"eglGetProcAddress" in wanted["libEGL.so.1"]
    assert b"glDrawArrays" in wanted["libGL.so.1"]


def test_what_is_no_missing_graphics_library_keeps_its_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gl_stub, "load_missing", lambda _binary: pytest.fail("nothing to stand in for"))
    with pytest.raises(DrawingError, match="libegl1"):
        skia_door._load_without_a_desktop(ImportError("No module named 'skia'"))


@pytest.mark.parametrize(
    "refusal", [OSError("no memory to run"), KeyError("riscv64"), AttributeError("memfd")]
)
def test_where_no_stand_in_can_be_loaded_the_sentence_says_what_to_install(
    refusal: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_binary: Path) -> None:
        raise refusal

    monkeypatch.setattr(gl_stub, "load_missing", refuse)
    with pytest.raises(DrawingError, match="libegl1"):
        skia_door._load_without_a_desktop(ImportError("libEGL.so.1: cannot open shared object file"))
