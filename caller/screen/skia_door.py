"""The one door to the drawing library: every drawing module takes `skia` from here.

The wheel links two shared libraries that any Linux desktop has and a bare machine lacks; there, stand-ins
take their place (see `gl_stub`). What still cannot load is told once, in words, by the module that first
meets it.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from caller.errors import ScreenError
from caller.screen import gl_stub

MENDING = (
    "The drawing library (skia-python) cannot load: on Debian or Ubuntu run "
    "`sudo apt install libegl1 libgl1`, elsewhere `pip install --force-reinstall skia-python`."
)


def _load_without_a_desktop(refused: ImportError) -> None:
    """Put stand-ins where graphics libraries are missing; raise `ScreenError` if that cannot be."""
    found = find_spec("skia")
    if found is None or found.origin is None or not any(name in str(refused) for name in gl_stub.SONAMES):
        raise ScreenError(MENDING) from refused
    try:
        gl_stub.load_missing(Path(found.origin))
    except (OSError, KeyError, AttributeError) as trouble:
        raise ScreenError(MENDING) from trouble


try:
    import skia
except ImportError as refused:
    _load_without_a_desktop(refused)
    try:
        import skia
    except ImportError as again:
        raise ScreenError(MENDING) from again

__all__ = ["MENDING", "skia"]
