"""Words on the command line, nothing else: one verb each, one module for each verb.

Only the module of the verb that was typed is imported, so that a lesson's first picture does not
wait for code that it does not need.

One rule for how it ends. 0: done. 2: something typed or written by the person is to be mended. 1: the machine
lacks or lost something, or the fault is ours. 130 and 143: stopped, by Ctrl-C or by the system.
"""

from __future__ import annotations

import argparse
import gc
import os
import signal
import sys
import threading
from collections.abc import Sequence
from importlib import import_module
from types import ModuleType
from typing import Final

from caller import __version__
from caller.cli.printing import NAME, complain, discard_output, finish, printing, unexpected
from caller.errors import CallerError
from caller.file_reading import as_told

VERBS: Final = {
    "run": "lead a lesson in the hall: voice, beeps and the clock on the screen",
    "lessons": "list the lessons there are: ready ones and your own",
    "lessons pack": "pack a lesson into one file for a colleague: script, hall, your own tones",
    "lessons take": "take in a lesson that a colleague has packed",
    "show": "print a lesson's run sheet with start times",
    "check": "look a lesson over: what must be mended, and what could be better",
    "new lesson": "write an example lesson to change, with notes",
    "new class": "write an example class file to change, with notes",
    "new hall": "write an example hall file to change, with notes",
    "make": "make or change a lesson in a window: turn the hands, pick the moves, hear it",
    "plan": "plan a lesson or a term for a class",
    "handover": "make a folder from which anyone can lead the next lesson",
    "record": "tell what a class has shown",
    "record backup": "copy the record of all classes",
    "record restore": "take in a copy of the record, as on a new computer",
    "record forget": "take a class, or all classes, out of the record for good",
    "hall": "tell what a hall does to voice and dial",
    "hall measure": "measure a hall: a rising sound is played and listened to",
    "voice": "tell which sentences are recorded in a voice of your own, and which are missing",
    "voice record": "record sentences in your own voice",
    "voice take": "take WAV files of a voice in",
    "voice forget": "take all recordings of a voice away for good",
    "export": "write a lesson as a video, sound, captions, a sheet of paper or a web page",
    "dial": "draw a plain dial for worksheets and cards",
    "explain": "tell why it is that time, and which wrong readings teach something",
    "moves": "list the moves, or show one in full",
    "starter": "put an icon on the desktop and in the menu, or take it away",
    "about": "print versions and devices, for a report of a fault",
}
"""Verbs, of one word or two, and what each is for.

`caller.cli.VERB` holds `add_arguments(parser)` and `run(arguments)`; for a second word, as in `record
backup`, `caller.cli.record` holds `add_backup_arguments(parser)` and `run_backup(arguments)`.
"""

_STOPPED: Final = ("SIGTERM", "SIGHUP")


def main(words: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit code."""
    words = list(sys.argv[1:] if words is None else words)
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")  # its greeting is not ours to give
    if threading.current_thread() is threading.main_thread():
        for name in _STOPPED:
            _stop_tidily(name)
    with printing():
        return _ended(words)


def _ended(words: list[str]) -> int:
    """Do what was typed, and tell by one rule how it ended."""
    try:
        try:
            code = _do(words)
        except SystemExit:  # help was printed, or something typed is not understood
            finish()
            raise
        finish()
        return code
    except CallerError as error:
        complain(str(error))
        discard_output()
        return error.exit_code
    except KeyboardInterrupt:
        return 128 + signal.SIGINT
    except BrokenPipeError:
        # The reader has seen enough (`| head`); what is left to print goes nowhere, quietly.
        discard_output()
        return 0
    except OSError as error:
        # What nobody was ready for, such as a folder that cannot be listed, has its sentence too.
        refused = as_told(error)
        complain(str(refused))
        discard_output()
        return refused.exit_code
    except Exception as error:
        unexpected(error)
        discard_output()
        return CallerError.exit_code


def _do(words: list[str]) -> int:
    parser = argparse.ArgumentParser(
        prog=NAME,
        description="An offline caller for clock-reading lessons in a gym hall. "
        f"`{NAME}` alone opens the start screen.",
        epilog=f"`{NAME} VERB --help` explains a verb. A lesson is a file, or the name of a ready one.",
        usage=f"{NAME} [VERB ...] [--help] [--version] [--mute]",
    )
    parser.add_argument("--version", action="version", version=f"{NAME} {__version__}")
    parser.add_argument(
        "--mute", dest="start_muted", action="store_true", help="the start screen without sound"
    )
    subparsers = parser.add_subparsers(dest="verb", metavar="VERB", title="verbs")
    words, typed = _joined(words)
    for verb, purpose in VERBS.items():
        described = purpose[0].upper() + purpose[1:] + "."
        subparser = subparsers.add_parser(verb, help=purpose, description=described, prog=f"{NAME} {verb}")
        if verb == typed:
            first, _, second = verb.partition(" ")
            module = _loaded(first)
            getattr(module, f"add_{second}_arguments" if second else "add_arguments")(subparser)
            subparser.set_defaults(run=getattr(module, f"run_{second}" if second else "run"))
    arguments, rest = parser.parse_known_args(words)
    if rest:
        subparsers.choices.get(arguments.verb, parser).error(f"unrecognized arguments: {' '.join(rest)}")
    if arguments.verb is None:
        return int(_loaded("run").start_screen(mute=arguments.start_muted))
    if arguments.start_muted:
        parser.error(f"write --mute after the verb: {NAME} {arguments.verb} --mute")
    return int(arguments.run(arguments))


def _loaded(verb: str) -> ModuleType:
    """Return a verb's module; loading it makes no rubbish, and looking for some took a tenth of the time."""
    name = f"{__name__}.{verb}"
    if name in sys.modules:
        return sys.modules[name]
    gc.disable()
    try:
        return import_module(name)
    finally:
        gc.freeze()  # it stays, and is looked through no more
        gc.enable()


def _joined(words: list[str]) -> tuple[list[str], str | None]:
    """Return the words with a verb of two words as one, and the verb."""
    at = next((index for index, word in enumerate(words) if not word.startswith("-")), None)
    if at is None:
        return words, None
    two = " ".join(words[at : at + 2])
    return ([*words[:at], two, *words[at + 2 :]], two) if two in VERBS else (words, words[at])


def _stop_tidily(name: str) -> None:
    """Let a signal end the program as an error does, so that nothing unfinished is left on the disk.

    Left alone, SDL takes it for a press of Escape, which only asks whether to stop. What a parent (`nohup`)
    has told us to ignore stays ignored.
    """
    number = getattr(signal, name, None)
    if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
        signal.signal(number, lambda _number, _frame: sys.exit(128 + number))
