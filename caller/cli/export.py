"""`hall-caller export LESSON --to FILE`: the lesson as a file that runs without this program."""

from __future__ import annotations

import argparse
from pathlib import Path

from caller.cli.printing import Bar
from caller.cli.targets import add_replace
from caller.export.describing import DescribedSound
from caller.export.formats import RATES, SIZES, WRITERS, Job, Options, export, export_all, writer_for
from caller.export.programme import Programme
from caller.export.sheet import PAPERS
from caller.file_writing import check_target, make_folder
from caller.lesson.library import find_lesson, read_lesson
from caller.planning.staging import stage_of
from caller.runsheet.counting import without_claps
from caller.screen.theme import THEMES
from caller.sound.own_voice import OwnVoice
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Timeline

_NOTE = """\
A file appears under its name only when it is whole. A video that was cut short goes on where it was when the
same command is given again; stopped with Ctrl-C, it leaves nothing behind.

Video is encoded by libx264 and libvpx, sound by LAME and others, all inside the PyAV package. libx264 is
under the GNU General Public License: whoever passes this program on together with PyAV must keep to that
licence. The files it makes are yours."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    endings = "\n".join(f"  {suffix:<7}{writer.purpose}" for suffix, writer in WRITERS.items())
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = f"what a file's ending means:\n{endings}\n\n{_NOTE}"
    parser.add_argument("lesson", help="a lesson file, or the name of a ready lesson such as `demo`")
    where = parser.add_mutually_exclusive_group(required=True)
    where.add_argument("--to", type=Path, metavar="FILE", help="the file to write; its ending says what")
    where.add_argument(
        "--all", type=Path, metavar="FOLDER", help="write every kind of file to this folder, made if need be"
    )
    parser.add_argument("--size", choices=SIZES, default="1080p", help="size of a video (1080p)")
    parser.add_argument(
        "--fps", type=int, choices=RATES, default=30, help="frames per second of a video (30)"
    )
    parser.add_argument(
        "--paper", choices=sorted(PAPERS), help="of the sheet; letter for American English, a4 otherwise"
    )
    parser.add_argument(
        "--theme",
        choices=sorted(THEMES),
        default="light",
        help="light (as if left out), dark, high contrast, or for weak eyes: the dial as large as can be",
    )
    parser.add_argument(
        "--no-captions",
        dest="burn_captions",
        action="store_false",
        help="leave the words out of the picture of a video; its caption track has them all the same",
    )
    parser.add_argument(
        "--describe",
        action="store_true",
        help="describe each clock in words: spoken in the thinking time, and as a text track of videos",
    )
    parser.add_argument(
        "--own-voice",
        action="store_true",
        help="with what `hall-caller voice record` has kept: it leaves this computer, so an adult decides",
    )
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write the files."""
    if arguments.to is not None:
        writer_for(arguments.to)
        check_target(arguments.to, replace=arguments.replace)
    path = find_lesson(arguments.lesson)
    lesson = read_lesson(path)
    run_sheet = without_claps(stage_of(lesson.hall, path.parent, lesson.class_name).run_sheet(lesson))
    options = Options(
        size=arguments.size,
        fps=arguments.fps,
        theme=arguments.theme,
        burn_captions=arguments.burn_captions,
        describe=arguments.describe,
        paper=arguments.paper,
    )
    if arguments.all is not None:
        make_folder(arguments.all)
        for suffix in WRITERS:  # what cannot be written is told before the lesson is spoken
            check_target(arguments.all / f"{path.stem}{suffix}", replace=True)
    with VoiceBox() as voice:
        own = OwnVoice() if arguments.own_voice else None
        programme = Programme(Timeline(run_sheet, voice=voice, tones=load_tones(), own=own))
        described = DescribedSound(programme, voice) if options.describe else None

        def job_for(target: Path) -> Job:
            return Job(programme=programme, described=described, options=options, progress=Bar(target.name))

        if arguments.to is not None:
            export(job_for(arguments.to), arguments.to, replace=arguments.replace)
            print(f"Wrote {arguments.to}.")
            return 0
        written = 0
        for written_to in export_all(job_for, arguments.all, path.stem, replace=arguments.replace):
            print(f"Wrote {written_to}.")
            written += 1
        if written < len(WRITERS):
            print(f"{len(WRITERS) - written} files were already there, from the same lesson and options.")
    return 0
