"""`hall-caller voice LESSON`: a voice of one's own; `voice record`, `voice take` and `voice forget`.

A file of lines leads whoever records elsewhere: each sentence has the name of its WAV file before it.
"""

from __future__ import annotations

import argparse
import contextlib
import sys
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from caller.cli.printing import as_json
from caller.cli.targets import add_replace
from caller.errors import SoundError, UserError
from caller.file_reading import as_told, is_file, read_bytes
from caller.file_writing import check_target, write_text
from caller.hall.sweep_run import answered, sound_library
from caller.lesson.library import find_lesson, read_lesson, ready_lessons
from caller.planning.staging import stage_of
from caller.runsheet import Call, RunSheet
from caller.sound import SAMPLE_RATE
from caller.sound.audiofile import read_mono
from caller.sound.own_voice import LONGEST_S, OwnVoice, Said, trimmed
from caller.sound.speech import Speech, VoiceSettings
from caller.sound.voice import VoiceBox
from caller.timeline.segment import said_in

LINES: Final = "lines.txt"
_MOST_BYTES: Final = 1_000_000
_KEY_S: Final = 0.25  # a key is heard as it is pressed: so much is left out at both ends
_RATES_HZ: Final = (SAMPLE_RATE, 44_100)
_PLAYS_LATE_S: Final = 10.0  # a sentence may end so much later than it lasts, and no more

_DECISION: Final = """\
A recorded voice is somebody's own. That it is recorded and heard in class is for an adult to decide: for a
child, its parents and your school's rules come first, and the child may say no. Recordings stay on this
computer, in {folder}, for you alone, without a name. `hall-caller voice forget` takes all of them away."""
_HOW: Final = """\
Each sentence is shown and heard once. Enter starts the recording, Enter ends it, and it is played to you.
Then Enter keeps it, r and Enter records it again, s and Enter leaves it out, q and Enter ends for today."""
_NO_DEVICE: Final = (
    "Recording needs a microphone and a loudspeaker: plug them in, or choose them in the sound settings."
)


@dataclass(frozen=True, slots=True)
class SpokenScript:
    """The different sentences of some lessons, and which calls each is in."""

    sentences: dict[Said, int]  # with the pace of the lesson it comes from first
    sheets: tuple[RunSheet, ...]

    def missing(self, own: OwnVoice) -> list[Said]:
        """Return the sentences that are not recorded, in the order in which they are heard."""
        return [each for each in self.sentences if own.get(each) is None]

    def calls(self, own: OwnVoice) -> tuple[list[Call], list[Call]]:
        """Return the calls that are heard in the own voice, and those in the program's."""
        spoken = [call for sheet in self.sheets for call in sheet.calls if said_in(call)]
        by_own = [call for call in spoken if own.whole(said_in(call)) is not None]
        return by_own, [call for call in spoken if own.whole(said_in(call)) is None]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.epilog = (
        "`hall-caller voice record LESSON` records, `hall-caller voice take FOLDER` takes WAV files in, "
        "`hall-caller voice forget` takes all recordings away."
    )
    _add_lessons(parser)
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument(
        "--to", type=Path, metavar="FILE", help=f"write the sentences, to be recorded elsewhere: {LINES}"
    )
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Tell which sentences are recorded, which are missing, and what that means for the calls."""
    if arguments.to is not None:
        check_target(arguments.to, replace=arguments.replace)
    own, script = OwnVoice(), _script(arguments.lessons)
    missing = script.missing(own)
    by_own, by_program = script.calls(own)
    if arguments.to is not None:
        write_text(arguments.to, _as_lines(script), replace=arguments.replace)
    if arguments.json:
        print(
            as_json(
                {
                    "sentences": len(script.sentences),
                    "recorded": len(script.sentences) - len(missing),
                    "missing": [{"text": text, "language": language} for text, language in missing],
                    "calls_in_own_voice": [call.number for call in by_own],
                    "calls_by_the_program": [call.number for call in by_program],
                }
            )
        )
    else:
        print("\n".join(_report(script, missing, by_own, by_program)))
    return 0


def add_record_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `voice record` understands."""
    _add_lessons(parser)
    parser.add_argument("--again", action="store_true", help="also the sentences that are recorded already")


def run_record(arguments: argparse.Namespace) -> int:
    """Lead through the sentences that are missing."""
    own, script = OwnVoice(), _script(arguments.lessons)
    wanted = list(script.sentences) if arguments.again else script.missing(own)
    print(f"{_DECISION.format(folder=own.folder)}\n\n{_HOW}\n")
    kept = 0
    with sound_library("Recording", failed=_NO_DEVICE) as library, VoiceBox() as voice:
        for number, said in enumerate(wanted, 1):
            print(f"{number} of {len(wanted)}: {said[0]}")
            clip = voice.clip(said[0], VoiceSettings(language=said[1], rate_wpm=script.sentences[said]))
            recorded = _recorded(library, said, clip)
            if recorded is None:
                break
            if recorded.samples.size:
                own.keep(said, recorded)
                kept += 1
    print("\n".join([f"Kept: {kept}.", *_report(script, script.missing(own), *script.calls(own))]))
    return 0


def add_take_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `voice take` understands."""
    parser.epilog = f"`hall-caller voice LESSON --to FOLDER/{LINES}` writes which sentence is which file."
    parser.add_argument("folder", type=Path, metavar="FOLDER", help=f"WAV files, and {LINES} beside them")


def run_take(arguments: argparse.Namespace) -> int:
    """Take WAV files in."""
    own = OwnVoice()
    print(_DECISION.format(folder=own.folder), file=sys.stderr)
    taken, absent, refused = 0, [], []
    for name, said in _lines_of(arguments.folder / LINES):
        path = arguments.folder / name
        if not is_file(path):
            absent.append(f"  {name}  {said[0]}")
            continue
        try:
            raw, rate = read_mono(path, longest_s=LONGEST_S)
            clip = trimmed(raw, rate, said[0])
        except ValueError as error:
            refused.append(f"  {name} {error}.")
        except OSError as error:
            raise as_told(error) from error
        else:
            own.keep(said, clip)
            taken += 1
    print(f"Taken in: {taken}.")
    if absent:
        print("\n".join(["No file for:", *absent]))
    if refused:
        raise UserError("\n".join(["These files were not taken in:", *refused]))
    return 0


def add_forget_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `voice forget` understands."""
    parser.epilog = "The program's own voice speaks again. Files that you took in stay where they are."


def run_forget(_arguments: argparse.Namespace) -> int:
    """Take all recordings away."""
    try:
        gone = OwnVoice().forget()
    except OSError as error:
        raise as_told(error) from error
    print(f"{gone} recording{'' if gone == 1 else 's'} taken away.")
    return 0


def _add_lessons(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "lessons", nargs="*", metavar="LESSON", help="lessons, files or names; all ready ones if left out"
    )


def _script(lessons: Sequence[str]) -> SpokenScript:
    sheets = []
    for name in lessons or ready_lessons():
        path = find_lesson(name)
        lesson = read_lesson(path)
        sheets.append(stage_of(lesson.hall, path.parent, lesson.class_name).run_sheet(lesson))
    sentences: dict[Said, int] = {}
    for sheet in sheets:
        for call in sheet.calls:
            for said in said_in(call):
                sentences.setdefault(said, sheet.voice.rate_wpm)
    return SpokenScript(sentences, tuple(sheets))


def _report(
    script: SpokenScript, missing: Sequence[Said], by_own: Sequence[Call], by_program: Sequence[Call]
) -> Iterator[str]:
    count = len(script.sentences)
    yield f"Sentences: {count}. In your own voice: {count - len(missing)}."
    if missing and len(missing) < count:
        yield "Missing:"
        yield from (f"  {text}" for text, _ in missing)
    yield (
        f"Calls in your own voice: {len(by_own)}. In the program's: {len(by_program)}. "
        "A call is in one voice from its first word to its last."
    )


def _as_lines(script: SpokenScript) -> str:
    digits = len(str(len(script.sentences)))
    rows = [
        f"{number:0{digits}}.wav\t{language}\t{text}\n"
        for number, (text, language) in enumerate(script.sentences, 1)
    ]
    return "".join(["# Name of the WAV file, language, and what is said in it\n", *rows])


def _lines_of(path: Path) -> list[tuple[str, Said]]:
    """Return the name of each WAV file and what is said in it.

    Raises
    ------
    UserError
        If the file of lines cannot be read; it says which line.
    """
    if not is_file(path):
        raise UserError(
            f"There is no {path}. `hall-caller voice LESSON --to {path}` writes which sentence is which file."
        )
    try:
        text = read_bytes(path, most_bytes=_MOST_BYTES).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise UserError(f"{path} is not text in UTF-8.") from error
    found = []
    for number, row in enumerate(text.splitlines(), 1):
        if not row.strip() or row.startswith("#"):
            continue
        fields = [field.strip() for field in row.split("\t")]
        if len(fields) != 3 or not all(fields) or Path(fields[0]).name != fields[0]:
            raise UserError(
                f"{path}, line {number}: write a file's name, a tab, a language, a tab and the sentence."
            )
        found.append((fields[0], (fields[2], fields[1])))
    return found


def _recorded(library: Any, said: Said, example: Speech) -> Speech | None:
    """Return one sentence recorded and agreed to; an empty clip where it is left out, None at the end."""
    left_out = Speech(samples=np.zeros(0, np.float32))
    if not example.missing:
        _play(library, example.samples)
    while True:
        if _asked("  Enter, and speak: ") == "q":
            return None
        raw, rate = _heard(library)
        clip: Speech | None
        try:
            clip = trimmed(raw, rate, said[0])
        except ValueError as error:
            print(f"  The recording {error}.")
            clip = None
        if clip is not None:
            _play(library, clip.samples)
        answer = _asked("  Enter to keep, r again, s leave out, q end: " if clip else "  Enter again, s, q: ")
        if answer == "q":
            return None
        if answer == "s":
            return left_out
        if answer != "r" and clip is not None:
            return clip


def _heard(library: Any) -> tuple[NDArray[np.float32], int]:
    """Return what the microphone hears until Enter, without the sound of the keys."""
    blocks: list[NDArray[np.float32]] = []
    full = threading.Event()

    def hear(heard: Any, _frames: int, _times: Any, _status: Any) -> None:
        if not full.is_set():
            blocks.append(np.array(heard[:, 0]))
        if sum(map(len, blocks)) > LONGEST_S * rate:
            full.set()

    for rate in _RATES_HZ:
        with contextlib.suppress(library.PortAudioError, ValueError):
            opened = partial(library.InputStream, samplerate=rate, channels=1, dtype="float32", callback=hear)
            stream = answered(opened)
            break
    else:
        raise SoundError(_NO_DEVICE)
    answered(stream.start)
    try:
        _asked("  Recording. Enter ends it. ")
    finally:
        answered(stream.stop)
        answered(stream.close)
    sound = np.concatenate(blocks) if blocks else np.zeros(0, np.float32)
    key = round(_KEY_S * rate)
    return sound[key : max(sound.size - key, key)], rate


def _play(library: Any, samples: NDArray[np.float32]) -> None:
    lasts_s = samples.size / SAMPLE_RATE
    answered(partial(library.play, samples, SAMPLE_RATE, blocking=True), lasts_s + _PLAYS_LATE_S)


def _asked(question: str) -> str:
    """Return the first letter of what is typed; the end of the input ends the recording."""
    print(question, end="", flush=True)
    typed = sys.stdin.readline()
    return typed.strip()[:1].lower() if typed else "q"
