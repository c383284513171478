"""A lesson live in the hall: the window's loop around conductor, speaker and picture."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from enum import Enum

from caller.errors import SoundError
from caller.live.conductor import Conductor, Situation
from caller.live.keys import Action, action_for, keys_for
from caller.live.output import Output
from caller.live.player import Player
from caller.live.run_log import RunLog
from caller.live.speaker import open_speaker
from caller.live.window import KeyPress, Window
from caller.runsheet.model import Board, Call, RunSheet
from caller.screen.scene import Scene
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.layout import seconds_of
from caller.timeline.picture import scene_at
from caller.timeline.segment import Timeline

FRAME_S = 1 / 60
PICTURE_STEP_S = 1 / 60  # figures move in steps of this, so that a still picture is not drawn again
_SUPPLY_S = 0.1
PAUSED = "Paused. Space: go on from the start of this call."
ASK_QUIT = "Stop the lesson? Escape again: stop. Space: go on."


class Ending(Enum):
    """How a run came to its end."""

    ENDED = "by itself"
    SKIPPED = "by a press of `next` on its last call"
    STOPPED = "by the teacher"


@dataclass(slots=True, kw_only=True)
class Options:
    """How a lesson is run."""

    mute: bool = False
    first_round: int | None = None
    confirm_stop: bool = True
    log: RunLog = field(default_factory=lambda: RunLog(None))


KEY_PAGE = Scene(
    board=Board(
        layout="points",
        title="Keys",
        points=tuple(f"{' or '.join(keys_for(action)[:3])}: {action.value}" for action in Action),
    )
)
"""What each key does, as a picture; the lesson goes on behind it."""


def first_call(run_sheet: RunSheet, first_round: int | None) -> int:
    """Return the index of the first call of round `first_round`, or 0 for the whole lesson."""
    if first_round is None:
        return 0
    return next((i for i, call in enumerate(run_sheet.calls) if call.round == first_round), 0)


def run(
    run_sheet: RunSheet, window: Window, options: Options, voice: VoiceBox, *, soon: RunSheet | None = None
) -> Ending:
    """Run a lesson in `window` until its end, and return how it ended.

    The words of `soon`, the run sheet that will follow, are spoken in the background meanwhile.

    Raises
    ------
    SoundError
        When no loudspeaker can be opened.
    """
    log = options.log
    start = first_call(run_sheet, options.first_round)
    window.show(Scene(board=run_sheet.calls[start].board))
    log.event("first picture")
    player = Player()
    tones = load_tones()
    timeline = Timeline(run_sheet, voice=voice, tones=tones)
    conductor = Conductor(timeline, player, first=start)
    conductor.step()  # the first call is made while the speaker opens
    timeline.speak_ahead(run_sheet.calls[start:])
    if soon is not None:
        Timeline(soon, voice=voice, tones=tones).speak_ahead()
    try:
        output = Output(player, opener=lambda sink: open_speaker(sink, mute=options.mute))
    except SoundError:
        conductor.close()
        raise
    conductor.cut = output.cut
    log.event("speaker", device=output.name)
    try:
        with _supplied(conductor):
            return _Loop(window, conductor, output, options).run()
    finally:
        conductor.close()
        output.close()


@contextmanager
def _supplied(conductor: Conductor) -> Iterator[None]:
    """Keep the player supplied from a thread: a window being dragged stops its own loop."""
    stop = threading.Event()

    def supply() -> None:
        while not stop.wait(_SUPPLY_S):
            conductor.step()

    thread = threading.Thread(target=supply, name="supplies", daemon=True)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()


class _Loop:
    """Ask where the sound is, draw that, do what the keys ask."""

    def __init__(self, window: Window, conductor: Conductor, output: Output, options: Options) -> None:
        self._window = window
        self._conductor = conductor
        self._output = output
        self._log = options.log
        self._confirm_stop = options.confirm_stop
        self._asking_to_quit = False
        self._skipped = False
        self._showing_keys = False
        self._scene: Scene | None = None
        self._call: Call | None = None

    def run(self) -> Ending:
        while True:
            began_s = time.monotonic()
            for action in self._actions():
                self._log.event("key", action=action.name)
                if self._act(action):
                    return Ending.STOPPED
            self._conductor.step()
            heard = self._output.heard()
            situation = self._conductor.situation(heard)
            if situation.finished:
                self._log.event("finished")
                return Ending.SKIPPED if self._skipped else Ending.ENDED
            self._note(situation, heard)
            self._scene = self._picture(situation, heard)
            self._window.show(KEY_PAGE if self._showing_keys else self._scene)
            time.sleep(max(FRAME_S - (time.monotonic() - began_s), 0.0))

    def _actions(self) -> Iterator[Action]:
        for pressed in self._window.inputs():
            action = action_for(pressed.key) if isinstance(pressed, KeyPress) else None
            if action is not None:
                yield action

    def _note(self, situation: Situation, heard: int) -> None:
        if situation.segment is not None and situation.call is not self._call:
            if self._call is None:
                self._log.event("first sound")
            self._call = situation.call
            self._log.event(
                "call",
                number=situation.call.number,
                kind=situation.call.kind,
                stream_s=seconds_of(heard - situation.sample),
            )

    def _picture(self, situation: Situation, heard: int) -> Scene:
        notice = ASK_QUIT if self._asking_to_quit else self._output.look_after()
        if situation.paused and not notice:
            notice = PAUSED
        if situation.segment is None:
            held = self._scene or Scene(board=situation.call.board)
            if held.board != situation.call.board:
                held = Scene(board=situation.call.board)
            return replace(held, notice=notice)
        move_s = round(seconds_of(heard) / PICTURE_STEP_S) * PICTURE_STEP_S
        return scene_at(situation.segment.layout, situation.sample, move_s=move_s, notice=notice)

    def _act(self, action: Action) -> bool:
        """Do what was asked; return whether the lesson is to stop."""
        if self._asking_to_quit:
            self._asking_to_quit = False
            if action is Action.QUIT:
                return True
            self._conductor.go_on()
            return False
        match action:
            case Action.QUIT if not self._confirm_stop:
                return True
            case Action.QUIT:
                self._asking_to_quit = True
                self._conductor.pause()
            case Action.THEME:
                self._window.toggle_theme()
            case Action.FULL_SCREEN:
                self._window.toggle_full_screen()
            case Action.HELP:
                self._showing_keys = not self._showing_keys
            case _:
                self._skipped = action is Action.NEXT
                self._conductor.act(action)
        return False
