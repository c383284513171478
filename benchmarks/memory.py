"""Memory of the parts that could grow with a lesson: the floor is an empty Python with the same libraries.

Run `python -m benchmarks.memory` (Linux or macOS); it needs no display and no sound device.
"""

from __future__ import annotations

import os
import subprocess
import sys

from benchmarks.figures import Figure, table

_PEAK = (
    "\nimport resource, sys\n"
    "peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss\n"
    "print('peak', peak / (1e6 if sys.platform == 'darwin' else 1e3))\n"
)
_LIBRARIES = "import numpy, pygame, skia, tomlkit\n"
_READ = (
    "from caller.lesson.library import find_lesson\n"
    "from caller.lesson.library import read_lesson\n"
    "from caller.runsheet.sequence import make_run_sheet\n"
    "sheet = make_run_sheet(read_lesson(find_lesson('demo')))\n"
)
_HALL = _READ + (
    "from caller.live.performance import PlanToLead\n"
    "from caller.live.performance.performance import Performance\n"
    "from caller.live.room import Room\n"
    "from caller.live.window import Window\n"
    "from caller.sound.voice import VoiceBox\n"
    "import dataclasses\n"
    "window = Window(size=(1920, 1080))\n"
    "with VoiceBox() as voice:\n"
    "    with Room(window, voice, mute=True) as room:\n"
    "        part = dataclasses.replace(sheet, calls=sheet.calls[:6])\n"
    "        Performance(room, PlanToLead(run_sheet=part)).run()\n"
)
_MIX = _READ + (
    "from caller.sound.tones import load_tones\n"
    "from caller.sound.voice import VoiceBox\n"
    "from caller.timeline.segment import Timeline\n"
    "with VoiceBox() as voice:\n"
    "    timeline = Timeline(sheet, voice=voice, tones=load_tones())\n"
    "    for _ in range(6):\n"
    "        for call in sheet.calls:\n"
    "            segment = timeline.segment(call)\n"
    "            for start in range(0, segment.length, 48_000):\n"
    "                segment.render(start, 48_000)\n"
)


def peak_mb(program: str) -> float:
    """Return the most memory that a program of its own ever held, in MB."""
    done = subprocess.run(
        [sys.executable, "-c", program + _PEAK],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"SDL_VIDEODRIVER": "dummy"},
    )
    return float(done.stdout.split()[-1])


def measure() -> list[Figure]:
    floor = f"{peak_mb(_LIBRARIES):.0f} MB: the libraries alone"
    return [
        Figure(
            what="peak memory, reading a lesson into a run sheet",
            value=peak_mb(_READ),
            unit="MB",
            beside="200 MB",
        ),
        Figure(
            what="peak memory, half an hour of lesson mixed", value=peak_mb(_MIX), unit="MB", beside=floor
        ),
        Figure(
            what="peak memory, six calls live at 1920×1080", value=peak_mb(_HALL), unit="MB", beside=floor
        ),
    ]


if __name__ == "__main__":
    print(table(measure()))
