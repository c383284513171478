"""Draw one picture for every kind of call, of question and of signal into this folder.

Run `python docs/screens/make.py` after a change to what is drawn, and look at the pictures. They
are the pictures of the timeline: what the hall would have seen at the end of each call. Those of a signal
show what is seen while its tone is heard, and while a call waits for quiet.
"""

from __future__ import annotations

from pathlib import Path

from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet.sequence import make_run_sheet
from caller.screen.raster import write_png
from caller.screen.theme import DARK, LIGHT
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import SAMPLE_RATE
from caller.timeline.picture import hushed, scene_at
from caller.timeline.segment import Timeline

FOLDER = Path(__file__).parent
SIZE = (640, 360)
SIGNALS = {"welcome": "attention", "time-up": "time-up", "catch-up": "quiet"}
QUESTIONS = ("find", "later", "how-long", "is-it-so", "be-the-clock", "day-part", "half-of-day")


def main() -> None:
    """Draw them all."""
    with VoiceBox() as voice:
        kinds: set[str] = set()
        for name in ("demo", *QUESTIONS):
            run_sheet = make_run_sheet(read_lesson(ready_lessons()[name]))
            timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
            for call in run_sheet.calls:
                title = call.kind if name == "demo" else f"question-{name}" if call.kind == "move" else ""
                if not title or title in kinds or (name == "demo" and call.part == "example"):
                    continue
                kinds.add(title)
                layout = timeline.segment(call).layout
                # Half a second before the end: the last words, the last beep's numeral, every cue.
                sample = layout.length - SAMPLE_RATE // 2
                scene = scene_at(layout, sample)
                theme = DARK if title == "reason" else LIGHT
                path = FOLDER / f"{title}.png"
                write_png(scene, path, width=SIZE[0], height=SIZE[1], theme=theme)
                if title in SIGNALS:
                    early = scene_at(layout, SAMPLE_RATE // 2)
                    shown = hushed(scene, 1.0, asked=True) if SIGNALS[title] == "quiet" else early
                    path = FOLDER / f"signal-{SIGNALS[title]}.png"
                    write_png(shown, path, width=SIZE[0], height=SIZE[1], theme=theme)


if __name__ == "__main__":
    main()
