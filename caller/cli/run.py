"""`hall-caller run LESSON`: the hall, live; and `hall-caller` alone: the start screen."""

from __future__ import annotations

import argparse
import gc
from contextlib import nullcontext
from functools import partial
from pathlib import Path

from caller.cli.targets import add_replace
from caller.errors import ScreenError, UserError
from caller.hall.hallfile import find_hall
from caller.lesson import Lesson
from caller.lesson.library import find_lesson, read_lesson
from caller.live.background import RunLog, nothing_but_ours
from caller.live.keeping import CutOff, cut_off
from caller.live.keys import controls_of
from caller.live.loudspeaker import Lateness
from caller.live.loudspeaker.output import SpeakerBeingOpened, output_called
from caller.live.loudspeaker.player import Player
from caller.live.performance import PlanToLead, first_call, plan_of, plan_to_carry_on
from caller.live.performance.performance import Performance
from caller.live.room import Room
from caller.live.window import NoScreen, Screen, Window
from caller.planning.staging import stage_of
from caller.record.files import OneLesson
from caller.screen.theme import THEMES
from caller.sound import STARTING_DB
from caller.sound.voice import VoiceBox


def start_screen(*, mute: bool = False) -> int:
    """Show the start screen until the teacher leaves."""
    from caller.live.start.startscreen import start  # noqa: PLC0415 - with all it can make, half of the start of a lesson

    controls = controls_of()
    window = Window()
    try:
        with (
            nothing_but_ours(),
            VoiceBox() as voice,
            Room(window, voice, controls=controls, mute=mute) as room,
        ):
            start(room)
    finally:
        window.close()
    return 0


_OFF = "off"
_QUIET_GATE_S = 15
_LONGEST_WAIT_S = 60


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("lesson", help="a lesson file, or the name of a ready lesson such as `demo`")
    parser.add_argument("--from", dest="first_round", type=int, metavar="ROUND", help="begin at this round")
    parser.add_argument("--carry-on", action="store_true", help="carry on with it where it was cut off")
    parser.add_argument("--window", action="store_true", help="in a window instead of full screen")
    parser.add_argument(
        "--size", type=_size, metavar="WxH", help="in a window of this size, such as 1280x720"
    )
    parser.add_argument(
        "--theme",
        choices=sorted(THEMES),
        default="light",
        help="light (as if left out), dark, high contrast, or for weak eyes: the dial as large as can be",
    )
    parser.add_argument(
        "--try-out", action="store_true", help="keep nothing of it, and beside a lesson that is running too"
    )
    parser.add_argument("--mute", action="store_true", help="without sound")
    parser.add_argument(
        "--voice-to",
        metavar="DEVICE",
        help="a second output, by its name or a part of it, that gets the voice alone, as for a hearing "
        "loop; remembered until `--voice-to off`",
    )
    parser.add_argument(
        "--one-button", action="store_true", help="the space bar does everything, by short and long presses"
    )
    parser.add_argument(
        "--quiet-gate",
        type=_wait,
        nargs="?",
        const=_QUIET_GATE_S,
        metavar="SECONDS",
        help="after a catch-up, wait until the hall is quiet, by the microphone's level, "
        f"but not longer than this ({_QUIET_GATE_S}); 0: never wait, whatever the lesson says",
    )
    parser.add_argument("--log", type=Path, metavar="FILE", help="write what happens, and when, to this file")
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Lead the lesson."""
    gc.disable()  # until it is led: what is made for its start stays, and looking for rubbish holds it up
    try:
        _prepare_and_lead(arguments)
    finally:
        gc.enable()
    return 0


def _prepare_and_lead(arguments: argparse.Namespace) -> None:
    path = find_lesson(arguments.lesson)
    lesson = read_lesson(path)
    lateness = Lateness()
    if arguments.voice_to is not None:
        _send_voice_to(lateness, arguments.voice_to, keep=not arguments.try_out)
    player = Player(STARTING_DB)
    player.wide = bool(lesson.hall) and find_hall(lesson.hall, folder=path.parent).loudspeakers == "two"
    with (
        nothing_but_ours(),
        VoiceBox() as voice,
        SpeakerBeingOpened(player, mute=arguments.mute) as speaker,
    ):
        voice.expect(lesson.language)
        _lead(arguments, path, lesson, voice, speaker, lateness)


def _send_voice_to(lateness: Lateness, device: str, *, keep: bool) -> None:
    """Have a device get the voice alone, or none; a name that no output has is told at once."""
    if device.casefold() == _OFF:
        device = ""
    else:
        output_called(device)
    lateness.send_voice_to(device, keep=keep)


def _lead(
    arguments: argparse.Namespace,
    path: Path,
    lesson: Lesson,
    voice: VoiceBox,
    speaker: SpeakerBeingOpened,
    lateness: Lateness,
) -> None:
    """Decide the lesson and lead it, while the voice starts and the loudspeaker is being opened."""
    stage = stage_of(lesson.hall, path.parent, lesson.class_name)
    sheets = stage.to_lead(lesson)
    _check_round(arguments.first_round, len(sheets.lesson.rounds))
    controls = controls_of()
    place = nullcontext() if arguments.try_out else OneLesson()
    with place, RunLog(arguments.log, replace=arguments.replace, sources=[path]) as log:
        cut = None if arguments.try_out else _cut_off(lesson, arguments)
        log.event("start")
        with Room(
            partial(_screen, arguments),
            voice,
            controls=controls,
            lateness=lateness,
            log=log,
            speaker=speaker,
            mute=arguments.mute,
            quiet_gate_s=arguments.quiet_gate,
            printed=partial(print, flush=True),
        ) as room:
            room.by_one_switch(arguments.one_button)
            if arguments.try_out:
                plan = PlanToLead(
                    run_sheet=sheets.lesson,
                    branches=sheets.again,
                    first=first_call(sheets.lesson, arguments.first_round),
                )
            elif cut is None:
                plan = plan_of(lesson, sheets, first_round=arguments.first_round)
            else:
                plan = plan_to_carry_on(cut)
            performance = Performance(room, plan)
            gc.freeze()
            gc.enable()
            performance.run()


def _screen(arguments: argparse.Namespace) -> Screen:
    """Return the window, or what stands for it where this computer has no display."""
    try:
        return Window(full_screen=not arguments.window, size=arguments.size, theme=THEMES[arguments.theme])
    except ScreenError:
        return NoScreen()


def _cut_off(lesson: Lesson, arguments: argparse.Namespace) -> CutOff | None:
    """Return where this lesson is to be carried on; offer it where it was not asked for."""
    cut = cut_off()
    if cut is None or (cut.kept.class_name, cut.kept.title) != (lesson.class_name, lesson.title):
        if arguments.carry_on:
            raise UserError("This lesson was not cut off today: run it without --carry-on.")
        return None
    if not arguments.carry_on:
        where = f"in round {cut.round}" if cut.round else "between its rounds"
        print(f"This lesson was cut off {where}. To carry on there, stop this and add --carry-on.")
        return None
    return cut


def _check_round(first_round: int | None, rounds: int) -> None:
    if first_round is not None and not 1 <= first_round <= rounds:
        raise UserError(f"--from {first_round}: this lesson has rounds 1 to {rounds}; choose one of them.")


def _wait(text: str) -> int:
    if not (text.isdigit() and int(text) <= _LONGEST_WAIT_S):
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of seconds from 0 to {_LONGEST_WAIT_S}")
    return int(text)


def _size(text: str) -> tuple[int, int]:
    width, _, height = text.lower().partition("x")
    if not (
        width.isdigit() and height.isdigit() and 320 <= int(width) <= 7680 and 240 <= int(height) <= 4320
    ):
        raise argparse.ArgumentTypeError(f"{text!r} is not a size such as 1280x720")
    return int(width), int(height)
