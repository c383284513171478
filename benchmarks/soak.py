"""Eight hours of lessons on a fast clock: real code from the script to the picture, only time runs faster.

Run `python -m benchmarks.soak [HOURS] [TIMES_FASTER]`; it needs no display and no sound device.
For sound and picture in real time see `benchmarks.skew`.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable

from scipy.stats import theilslopes

from benchmarks.figures import Figure, table
from benchmarks.usage import Usage, usage
from caller.lesson.library import read_lesson, ready_lessons
from caller.live.loudspeaker.output import SpeakerBeingOpened
from caller.live.loudspeaker.player import Player
from caller.live.loudspeaker.speakers import SilentSpeaker
from caller.live.performance import PlanToLead
from caller.live.performance.performance import Performance
from caller.live.performance.presses import Ending
from caller.live.room import Room
from caller.live.window import Window
from caller.runsheet.sequence import make_run_sheet
from caller.sound import STARTING_DB
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import seconds_of
from caller.timeline.segment import Timeline

HOURS = 8.0
TIMES_FASTER = 60.0
_LESSONS = 2  # over and over, so that what is kept of their pictures is soon all there
_WARM = 4


def measure(hours: float = HOURS, times_faster: float = TIMES_FASTER) -> list[Figure]:
    os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
    clock = _fast_clock(times_faster)
    sheets = [make_run_sheet(read_lesson(path)) for path in list(ready_lessons().values())[:_LESSONS]]
    window = Window(size=(640, 360))
    led_s, lessons, cut_short = 0.0, 0, 0
    held: list[Usage] = []
    at_h: list[float] = []
    began_s = time.monotonic()
    with (
        VoiceBox() as voice,
        SpeakerBeingOpened(Player(STARTING_DB), lambda player: SilentSpeaker(player, clock=clock)) as speaker,
        Room(window, voice, clock=clock, speaker=speaker) as room,
    ):
        while led_s < hours * 3600:
            sheet = sheets[lessons % len(sheets)]
            timeline = Timeline(sheet, voice=voice, tones=load_tones())
            led_s += sum(seconds_of(timeline.length(call)) for call in sheet.calls)
            cut_short += Performance(room, PlanToLead(run_sheet=sheet)).run() is not Ending.ENDED
            lessons += 1
            held.append(usage())
            at_h.append(led_s / 3600)
    window.close()
    settled, last = held[_WARM:], held[-1]
    # What a lesson's last clips weigh differs from lesson to lesson: the slope tells growth from that.
    slope = theilslopes([each.resident_mb for each in settled], at_h[_WARM:])
    return [
        Figure(what="lessons led", value=lessons, unit=f"in {led_s / 3600:.2f} h of lesson time"),
        Figure(what="lessons that did not come to their end", value=cut_short, unit="", beside="0"),
        Figure(what="it took", value=(time.monotonic() - began_s) / 60, unit="min"),
        Figure(what="most memory after a lesson", value=max(each.resident_mb for each in held), unit="MB"),
        Figure(
            what=f"growth of memory (95 %: {slope.low_slope:.2f} to {slope.high_slope:.2f})",
            value=float(slope.slope),
            unit="MB/h",
            beside="1 MB/h",
        ),
        Figure(what="growth of threads", value=last.threads - settled[0].threads, unit="", beside="0"),
        Figure(what="growth of open files", value=last.files - settled[0].files, unit="", beside="0"),
    ]


def _fast_clock(times_faster: float) -> Callable[[], float]:
    """Return a clock for the loudspeaker to count samples by."""
    began_s = time.monotonic()
    return lambda: began_s + (time.monotonic() - began_s) * times_faster


if __name__ == "__main__":
    print(table(measure(*map(float, sys.argv[1:]))))
