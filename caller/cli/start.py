"""`hall-caller` alone: the start screen."""

from __future__ import annotations

from caller.live.controls.keys import controls_of
from caller.live.room import Room
from caller.live.start.startscreen import start
from caller.live.window import Window
from caller.sound.voice import VoiceBox


def run(*, mute: bool = False) -> int:
    """Show the start screen until the teacher leaves."""
    controls = controls_of()
    window = Window()
    try:
        with VoiceBox() as voice, Room(window, voice, controls=controls, mute=mute) as room:
            start(room)
    finally:
        window.close()
    return 0
