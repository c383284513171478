"""Words on the command line, nothing else: one verb each, one module for each verb.

Only the module of the verb that was typed is imported, so that a lesson's first picture does not
wait for code that it does not need.
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
import threading
from collections.abc import Sequence
from importlib import import_module
from typing import Final

from caller import __version__
from caller.errors import CallerError

VERBS: Final = {
    "run": "lead a lesson in the hall: voice, beeps and the clock on the screen",
    "show": "print a lesson's run sheet with start times",
    "plan": "plan a lesson or a term for a class",
    "handover": "make a folder from which anyone can lead the next lesson",
    "record": "tell what a class has shown, copy the record, or forget a class",
    "hall": "tell what a hall does to voice and dial, or measure it",
    "check": "look a lesson over: what must be mended, and what could be better",
    "export": "write a lesson as a video, sound, captions, a sheet of paper or a web page",
    "dial": "draw a plain dial for worksheets and cards",
    "explain": "tell why it is that time, and which wrong readings teach something",
    "moves": "list the moves, or show one in full",
}
"""Verbs and what each is for; `caller.cli.VERB` holds `add_arguments(parser)` and `run(arguments)`."""


def main(words: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit code: 0 well, 1 our fault, 2 theirs."""
    words = list(sys.argv[1:] if words is None else words)
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")  # its greeting is not ours to give
    if threading.current_thread() is threading.main_thread():
        # Left alone, SDL takes it for a press of Escape, which only asks whether to stop.
        signal.signal(signal.SIGTERM, lambda _number, _frame: sys.exit(128 + signal.SIGTERM))
    parser = argparse.ArgumentParser(
        prog="hall-caller", description="An offline caller for clock-reading lessons in a gym hall."
    )
    parser.add_argument("--version", action="version", version=f"hall-caller {__version__}")
    subparsers = parser.add_subparsers(dest="verb", metavar="VERB", title="verbs")
    typed = next((word for word in words if not word.startswith("-")), None)
    try:  # a verb that draws fails as it is loaded, where the drawing library is missing
        for verb, purpose in VERBS.items():
            subparser = subparsers.add_parser(
                verb, help=purpose, description=purpose[0].upper() + purpose[1:] + "."
            )
            if verb == typed:
                module = import_module(f"caller.cli.{verb}")
                module.add_arguments(subparser)
                subparser.set_defaults(run=module.run)
        arguments = parser.parse_args(words)
        if arguments.verb is None:
            return int(import_module("caller.cli.start").run())
        code = int(arguments.run(arguments))
        sys.stdout.flush()
        return code
    except CallerError as error:
        print(f"hall-caller: {error}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        # The reader has seen enough (`| head`); what is left to print goes nowhere, quietly.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
