"""A lesson live in the hall: the window's loop around conductor, speaker and picture."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from enum import Enum

from caller.errors import ScreenError
from caller.live.buttons import Asked, Buttons
from caller.live.conductor import Conductor, Situation
from caller.live.frame_pace import until_next_frame_s
from caller.live.keys import TALLIES, Action, keys_for, label_of
from caller.live.microphone import Microphone
from caller.live.output import NONE_NOTICE, Output
from caller.live.player import Player
from caller.live.quiet_gate import Opened, QuietGate
from caller.live.remap import Controls
from caller.live.reteach_now import TeachAgain
from caller.live.run_log import RunLog
from caller.live.speaker import open_speaker
from caller.live.tally import NOTED_S, TallyTaker, few_had_it, noted
from caller.live.tally_record import LessonRecord
from caller.live.window import Screen
from caller.runsheet.model import Call, RunSheet
from caller.runsheet.table import call_in_words
from caller.screen.keypage import KeyPage
from caller.screen.scene import Scene
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.layout import seconds_of
from caller.timeline.picture import scene_at
from caller.timeline.segment import Timeline

PICTURE_STEP_S = 1 / 60  # figures move in steps of this, so that a still picture is not drawn again
_SUPPLY_S = 0.1
_SWITCH_S = 0.001  # Python's threads take turns this often: the audio callback must not wait for the others
PAUSED = "Paused. Space: go on from the start of this call."
WAITING = "Waiting until the hall is quiet. {}: go on now."
_NOTICE_S = 8.0
KEY_PAGE_FOOT = "After an answer, a presenter's forward button first means most had it, and back means few."
SINGLE_SWITCH_FOOT = "One button for everything, {}: a short press goes on, holding it says the call again."
UNSEEN = "No display: the lesson is led by the voice alone, and each call is printed as it is heard."
UNSEEN_UNHEARD = "No display and no sound: each call is printed when it is due, for somebody to read aloud."
ASK_QUIT = "Stop the lesson? Escape again: stop. Space: go on."


class Ending(Enum):
    """How a run came to its end."""

    ENDED = "by itself"
    SKIPPED = "by a press of `next` on its last call"
    STOPPED = "by the teacher"


@dataclass(slots=True, kw_only=True)
class Options:
    """How a lesson is run.

    Attributes
    ----------
    first_round, first_call
        The round, or the place in the run sheet's calls, to begin at.
    branches
        The calls prepared for teaching rounds again.
    record
        Where rounds and tallies are kept.
    quiet_gate_s
        How long to wait for quiet after a catch-up at most; 0 does not wait, None is as the run sheet says.
    printed
        Is given each call as it begins, and what else the screen would tell, where there is no screen.
    """

    mute: bool = False
    first_round: int | None = None
    first_call: int | None = None
    confirm_stop: bool = True
    controls: Controls = field(default_factory=Controls)
    branches: RunSheet | None = None
    record: LessonRecord | None = None
    quiet_gate_s: int | None = None
    log: RunLog = field(default_factory=lambda: RunLog(None))
    printed: Callable[[str], None] | None = None


def key_page(controls: Controls) -> KeyPage:
    """Return what each button does, as a picture; the lesson goes on behind it."""
    rows = [
        (tuple(label_of(key) for key in keys_for(action, controls.keys)), action.value) for action in Action
    ]
    rows.append((("0 to 9",), "after an answer: so many missed it"))
    foot = KEY_PAGE_FOOT
    if controls.single_switch:
        foot = SINGLE_SWITCH_FOOT.format(label_of(controls.single_switch))
    return KeyPage(title="Keys", rows=tuple(rows), foot=foot)


def first_call(run_sheet: RunSheet, first_round: int | None) -> int:
    """Return the index of the first call of round `first_round`, or 0 for the whole lesson."""
    if first_round is None:
        return 0
    return next((i for i, call in enumerate(run_sheet.calls) if call.round == first_round), 0)


def run(
    run_sheet: RunSheet, window: Screen, options: Options, voice: VoiceBox, *, soon: RunSheet | None = None
) -> Ending:
    """Run a lesson in `window` until its end, and return how it ended.

    The words of `soon`, the run sheet that will follow, are spoken in the background meanwhile.

    Without a loudspeaker the words stand on the screen, and the first one that comes is taken.
    """
    sys.setswitchinterval(_SWITCH_S)
    log = options.log
    start = options.first_call
    if start is None:
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
    again = None
    if options.branches is not None:
        again = TeachAgain(options.branches, timeline, conductor, _keeping_changes(options))
        again.prepare()
    output = Output(
        player,
        opener=lambda sink: open_speaker(sink, mute=options.mute),
        tell=lambda event, device: log.event(event, device=device),
    )
    if options.printed is not None:
        options.printed(UNSEEN_UNHEARD if options.mute or output.searching else UNSEEN)
    conductor.cut = output.cut
    log.event("speaker", device=output.name)
    microphone = _listening(run_sheet, conductor, options)
    try:
        with _supplied(conductor):
            ending = _Loop(window, conductor, output, options, again, microphone).run()
        if options.record is not None and not options.record.end(ending.name.lower()):
            log.event("not kept")
        return ending
    finally:
        if microphone is not None:
            microphone.close()
        conductor.close()
        output.close()
        _leave(options, again)


def _listening(run_sheet: RunSheet, conductor: Conductor, options: Options) -> Microphone | None:
    """Give the conductor a gate and the gate a microphone, where that was asked for."""
    longest_s = run_sheet.quiet_gate_s if options.quiet_gate_s is None else options.quiet_gate_s
    if not longest_s:
        return None

    def tell(why: Opened, held_s: float) -> None:
        options.log.event("let through", why=why.value, held_s=round(held_s, 2))

    gate = QuietGate(longest_s, told=tell)
    conductor.gate = gate
    return Microphone(gate.hear)


def _keeping_changes(options: Options) -> Callable[[tuple[Call, ...]], None]:
    """Return what keeps changed calls in the record and the log."""

    def keep(calls: tuple[Call, ...]) -> None:
        options.log.event("taught again", numbers=" ".join(str(call.number) for call in calls))
        if options.record is not None:
            options.record.change(calls)

    return keep


def _leave(options: Options, again: TeachAgain | None) -> None:
    if again is not None:
        again.close()
    if options.record is not None:
        options.record.leave_open()  # does nothing where the lesson has its end


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

    def __init__(
        self,
        window: Screen,
        conductor: Conductor,
        output: Output,
        options: Options,
        again: TeachAgain | None,
        microphone: Microphone | None,
    ) -> None:
        self._window = window
        self._conductor = conductor
        self._output = output
        self._options = options
        self._log = options.log
        self._again = again
        self._microphone = microphone
        self._buttons = Buttons(options.controls)
        self._key_page = key_page(options.controls)
        self._tallies = TallyTaker()
        self._notices: list[tuple[float, str]] = []  # until when, and what
        self._paused = False
        self._asking_to_quit = False
        self._skipped = False
        self._showing_keys = False
        self._scene: Scene | None = None
        self._call: Call | None = None
        self._began = 0  # the stream sample at which the first call was heard
        self._printed_notice = ""
        self._unseen: Call | None = None  # the call in which the display went away

    def run(self) -> Ending:
        while True:
            began_s = time.monotonic()
            for asked in self._asked(began_s):
                self._log.event("key", action=asked.name if isinstance(asked, Action) else str(asked))
                if self._act(asked, began_s):
                    return Ending.STOPPED
            self._conductor.step()
            heard = self._output.heard()
            situation = self._conductor.situation(heard)
            if situation.finished:
                self._log.event("finished", underruns=self._output.underruns)
                return Ending.SKIPPED if self._skipped else Ending.ENDED
            self._note(situation, heard)
            self._scene = self._picture(situation, began_s)
            if self._options.printed is not None and self._scene.notice != self._printed_notice:
                self._printed_notice = self._scene.notice
                if self._printed_notice not in ("", NONE_NOTICE):
                    self._options.printed(self._printed_notice)
            self._show(self._scene, situation)
            time.sleep(max(until_next_frame_s(situation) - (time.monotonic() - began_s), 0.0))

    def _show(self, scene: Scene, situation: Situation) -> None:
        """Show the picture; where the display is gone, let the voice finish its call, and then stop."""
        try:
            self._window.show(self._key_page if self._showing_keys else scene)
        except ScreenError:
            if self._unseen is None:
                self._log.event("display lost")
                self._unseen = situation.call
            if situation.segment is None or situation.call is not self._unseen:
                raise

    def _asked(self, now_s: float) -> Iterator[Asked]:
        return self._buttons.asked(
            self._window.inputs(), now_s, tally_waits=self._tallies.waiting, paused=self._paused
        )

    def _tally(self, asked: Asked, now_s: float) -> None:
        """Take a tally; where few had it, teach it again."""
        told = self._tallies.digit(asked, now_s) if isinstance(asked, int) else self._tallies.press(asked)
        if told is None:
            return
        self._notices = [(now_s + NOTED_S, noted(told.tally))]
        self._log.event("tally", round=told.round[0], part=told.round[1], tally=str(told.tally))
        record = self._options.record
        if record is None:
            return
        record.tell(told)
        facts = record.facts(told.round)
        if facts is not None and self._again is not None and few_had_it(told.tally, facts):
            self._again.ask(told.round)

    def _note(self, situation: Situation, heard: int) -> None:
        if situation.segment is not None and situation.call is not self._call:
            if self._call is None:
                self._log.event("first sound")
                self._began = heard - situation.sample
            if self._options.printed is not None:
                self._options.printed(call_in_words(situation.call, seconds_of(heard - self._began)))
            self._call = situation.call
            self._tallies.hear(situation.call)
            if self._options.record is not None:
                self._options.record.hear(situation.call)
            self._log.event(
                "call",
                number=situation.call.number,
                kind=situation.call.kind,
                stream_s=seconds_of(heard - situation.sample),
                heard_s=seconds_of(heard),
            )

    def _picture(self, situation: Situation, now_s: float) -> Scene:
        self._paused = situation.paused
        notice = ASK_QUIT if self._asking_to_quit else self._output.look_after() or self._own_notice(now_s)
        if situation.paused and not notice:
            notice = PAUSED
        if situation.segment is None:
            held = self._scene or Scene(board=situation.call.board)
            if held.board != situation.call.board:
                held = Scene(board=situation.call.board)
            return replace(held, notice=notice)
        scene = scene_at(situation.segment.layout, situation.sample, notice=notice)
        return replace(scene, move_s=round(scene.move_s / PICTURE_STEP_S) * PICTURE_STEP_S)

    def _own_notice(self, now_s: float) -> str:
        for teller in (self._options.record, self._microphone):
            if teller is not None and (news := teller.notice()):
                self._notices.append((now_s + _NOTICE_S, news))
        self._notices = [each for each in self._notices if now_s < each[0]]
        if not self._notices and self._conductor.waiting_for_quiet:
            keys = keys_for(Action.NEXT, self._options.controls.keys)
            return WAITING.format(", ".join(label_of(key) for key in keys[:1]))
        return self._notices[0][1] if self._notices else ""

    def _act(self, asked: Asked, now_s: float) -> bool:
        """Do what was asked; return whether the lesson is to stop."""
        if self._asking_to_quit:
            self._asking_to_quit = False
            if asked is Action.QUIT:
                return True
            self._conductor.go_on()
            return False
        if isinstance(asked, int) or asked in TALLIES:
            self._tally(asked, now_s)
            return False
        match asked:
            case Action.QUIT if not self._options.confirm_stop:
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
                self._skipped = asked is Action.NEXT
                self._conductor.act(asked)
        return False
