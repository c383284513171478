"""What a folder with the program in it starts: the program, and the processes that it starts itself.

In such a folder there is no Python to ask. The program starts its voice, its microphone, the lesson maker and
itself by `sys.executable -P -m NAME` and `-P -c CODE`, and here that is this file.
"""

from __future__ import annotations

import ctypes.util
import runpy
import sys
from pathlib import Path
from typing import Final

_WINDOW: Final = "hall-caller-window"
_ALSA: Final = Path("/usr/share/alsa")
"""PortAudio's part for ALSA ends the process where its settings are missing; SDL takes its place then."""


def _find_beside(name: str, beside: Path) -> str | None:
    """Return the library of the folder itself; what the system has is found as ever."""
    found = sorted(beside.glob(f"lib{name}.so*")) if name == "portaudio" and _ALSA.is_dir() else []
    return str(found[0]) if found else _of_the_system(name)


_of_the_system = ctypes.util.find_library


def main() -> int:
    """Do what the command line asks for."""
    beside = Path(getattr(sys, "_MEIPASS", Path(__file__).parent))
    ctypes.util.find_library = lambda name: _find_beside(name, beside)
    match sys.argv[1:]:
        case ["-P", "-m", module, *words]:
            sys.argv = [module, *words]
            runpy.run_module(module, run_name="__main__", alter_sys=True)
            return 0
        case ["-P", "-c", code, *words]:
            sys.argv = ["-c", *words]
            exec(compile(code, "<command>", "exec"), {"__name__": "__main__"})
            return 0
        case []:
            if Path(sys.executable).stem == _WINDOW:
                from caller.cli.starter import window  # noqa: PLC0415  (each start loads what it needs)

                return window()
    from caller.cli import main as program  # noqa: PLC0415

    return program()


if __name__ == "__main__":
    sys.exit(main())
