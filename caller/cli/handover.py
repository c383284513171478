"""`hall-caller handover CLASS --to FOLDER`: the right next lesson, as a folder that anyone can lead from."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from caller.errors import NotFoundError, UserError
from caller.export.formats import export
from caller.export.job import Job, Options
from caller.export.programme import Programme
from caller.moves.safety import who_decides
from caller.planning.classfile import LEAST_MINUTES, MOST_MINUTES, SchoolClass, read_class
from caller.planning.next_lesson import class_files, classes, plan_next
from caller.planning.notes import five_lines, script
from caller.planning.plan import Plan
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Timeline

_NAME = "lesson"
_ENDINGS = (".html", ".pdf", ".mp4")  # the quickest first, so that a folder is of use early
_START = "START.txt"

_NOTE = """\
START HERE                                                            {class_name}, {minutes} minutes

You are standing in for a lesson in which the class reads clocks with the whole body. You need no
other preparation than this page. The voice on the computer leads; your eyes stay with the children.

Choose ONE of these three ways:

  A  The caller is on this computer:   start it, take "I am standing in" (or run lesson.toml).
  B  It is not:                        open lesson.html in any web browser, or play lesson.mp4.
  C  No computer, or it fails:         print lesson.pdf and read it aloud. It holds every answer.

Before the children come
  1  Floor dry and clear; every child needs an arm's length all round.
  2  Sound on, and a look at the screen from the back of the hall. Ask: can everybody hear?
  3  {seated}

While it runs
  Space (or the presenter's dark-screen button) pauses, and goes on again.
  After an answer you MAY press  m  most had it   a  about half   n  not many.  Nothing needs it.
  A wrong answer never means more exercise. Any child may do less, sit, or stop.

Stop at once for pain, dizziness, breathlessness or wheezing, and follow your school's plan.
{who_decides}

What was chosen, and why
{why}
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument(
        "school_class", metavar="CLASS", help="a class file, or the name of a class in the record"
    )
    parser.add_argument("--to", required=True, type=Path, metavar="FOLDER", help="the folder to make")
    parser.add_argument("--minutes", type=int, metavar="M", help="the class's own if left out")
    parser.add_argument("--size", choices=("720p", "1080p"), default="720p", help="size of the video (720p)")


def run(arguments: argparse.Namespace) -> int:
    """Plan the lesson and write the folder."""
    school_class, beside = _class(arguments.school_class)
    minutes = arguments.minutes or school_class.minutes
    if not LEAST_MINUTES <= minutes <= MOST_MINUTES:
        raise UserError(f"--minutes {minutes}: choose from {LEAST_MINUTES} to {MOST_MINUTES}.")
    folder: Path = arguments.to
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NotFoundError(f"{folder} cannot be made ({error.strerror}). Choose another place.") from None
    if any(folder.iterdir()):
        raise UserError(f"{folder} is not empty. Name a new folder, so that no old lesson is mixed in.")
    with VoiceBox() as voice:
        plan = plan_next(school_class, minutes=minutes, voice=voice, folder=beside)
        _write(folder / f"{_NAME}.toml", script(plan))
        hall = (class_files() if beside is None else beside) / school_class.hall
        if school_class.hall and hall.is_file():  # the lesson names it, so it comes along
            _write(folder / hall.name, hall.read_text(encoding="utf-8"))
        _write(folder / _START, start_note(plan))
        programme = Programme(Timeline(plan.run_sheet, voice=voice, tones=load_tones()))
        for ending in _ENDINGS:
            target = folder / f"{_NAME}{ending}"
            print(f"Writing {target} ...", file=sys.stderr)
            export(Job(programme=programme, options=Options(size=arguments.size)), target)
    print(f"{folder} is ready to hand over. It begins with {_START}.")
    return 0


def start_note(plan: Plan) -> str:
    """Return the page to begin with."""
    lesson = plan.lesson
    return _NOTE.format(
        class_name=lesson.class_name,
        minutes=lesson.minutes,
        seated="Chairs out: everybody sits."
        if lesson.seated
        else "Shoes on, laces tied."
        if lesson.shod
        else "Bare feet, no socks.",
        who_decides=who_decides(),
        why="\n".join(f"  {line}" for line in five_lines(plan)),
    )


def _class(wanted: str) -> tuple[SchoolClass, Path | None]:
    """Return the class, and where its file lies."""
    if wanted.endswith(".toml"):
        return read_class(Path(wanted)), Path(wanted).parent
    for name, each in classes().items():
        if name.casefold() == wanted.casefold():
            return each, None
    raise NotFoundError(
        f'There is no class "{wanted}" in the record. Name its class file, such as terns.toml.'
    )


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise NotFoundError(f"{path} cannot be written ({error.strerror}). Choose another folder.") from None
