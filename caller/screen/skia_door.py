"""The one door to the drawing library: every drawing module takes `skia` from here.

The wheel needs two shared libraries that any Linux desktop has and a bare container lacks, so its
absence is told once, in words, by the module that first meets it.
"""

from __future__ import annotations

from caller.errors import ScreenError

MENDING = (
    "The drawing library (skia-python) cannot load: on Debian or Ubuntu run "
    "`sudo apt install libegl1 libgl1`, elsewhere `pip install --force-reinstall skia-python`."
)

try:
    import skia  # type: ignore[import-not-found, import-untyped, unused-ignore]
except ImportError as error:
    raise ScreenError(MENDING) from error

__all__ = ["MENDING", "skia"]
