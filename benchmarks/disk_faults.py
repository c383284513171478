"""Let every call to the disk of every verb fail once, and look what becomes of it.

    python -m benchmarks.disk_faults [SCENARIO...] [--share 0.1] [--once] [--every] [--to docs/disk-faults.md]

A library laid under the program (`disk_faults.c`, made with the system's C compiler) counts its calls on
files in the user's folders, in the folder it works in, and among the packaged lessons and tones, and lets one
of them fail: refused (EACCES), a failing disk (EIO), a full one (ENOSPC), interrupted (EINTR), or only half
done. What is printed goes into such a file too. One process has everything loaded; each case is a fork of it.

Calls that are alike are one site: the same call, on the same kind of file, from the same lines of the program
all the way down, as where a file is written piece by piece or each lesson of a folder is read. Of a site, the
first call and the last one fail, each in every way that such a call can; with `--every`, all of them do.

A case is a find if anything else comes of it than: no traceback; at most one complaint; exit code 0, or by
the rule, 2 for what is refused and 1 for a disk that is full or fails; what is interrupted or half done is
done in the end; every file that was there is whole, the old one or the new; nothing unfinished is left.
"""

from __future__ import annotations

import argparse
import ctypes
import gc
import math
import mmap
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import traceback
import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any, Final

from benchmarks.disk_cases import (
    FAULTS,
    NAMES,
    SCENARIOS,
    Scenario,
    kept_in,
    kind_of_file,
    make_folders,
    wrong,
)

ROOT: Final = Path(__file__).resolve().parents[1]
_FEW_CALLS: Final = 1  # of a lesson, drawn for its page
_FEW_BLOCKS: Final = 5  # of its sound; the rest is left out, or silent
_TRIES: Final = 5  # for a call that came to none: threads take turns as they like
LONGEST_S: Final = 300.0


class _Note(ctypes.Structure):
    _fields_ = (("name", ctypes.c_char * 16), ("path", ctypes.c_char * 256), ("place", ctypes.c_uint))


class _Control(ctypes.Structure):
    """As `struct control` in disk_faults.c."""

    _fields_ = (
        ("armed", ctypes.c_int),
        ("wanted", ctypes.c_int),
        ("error", ctypes.c_int),
        ("seen", ctypes.c_int),
        ("folders", (ctypes.c_char * 256) * 8),
        ("notes", _Note * 20_000),
    )


@dataclass
class Find:
    """What should not have come of a case."""

    scenario: str
    call: str
    path: str
    fault: str
    why: str

    def __str__(self) -> str:
        return f"{self.scenario}: {self.call} {self.path}, {self.fault}: {self.why}"


@dataclass
class Tally:
    """What came of a scenario's cases."""

    calls: int = 0
    sites: int = 0
    possible: int = 0
    codes: Counter[int] = field(default_factory=Counter)
    finds: list[Find] = field(default_factory=list)


def build(folder: Path) -> Path:
    """Make the library; raises CalledProcessError or FileNotFoundError where there is no compiler."""
    library = folder / "disk_faults.so"
    source = Path(__file__).with_name("disk_faults.c")
    command = ["cc", "-O1", "-shared", "-fPIC", str(source), "-o", str(library), "-ldl"]
    subprocess.run(command, check=True, capture_output=True)
    return library


class Campaign:
    """Runs the cases; of this process, everything is loaded already."""

    def __init__(self, room: Path) -> None:
        self._room = room
        self._template = room / "template"
        self._case = room / "case"
        with Path(os.environ["DISK_FAULTS"]).open("r+b") as file:
            self._shared = mmap.mmap(file.fileno(), ctypes.sizeof(_Control))
        self._control = _Control.from_buffer(self._shared)
        self._control.armed = 0
        kept = (self._case, ROOT / "lessons", ROOT / "sounds")
        for number, folder in enumerate(kept):
            self._control.folders[number].value = os.fsencode(folder)
        for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
            os.environ[name] = str(self._case / "home" / name.lower())
        os.environ["TMPDIR"] = tempfile.tempdir = str(self._case / "tmp")
        os.environ["XDG_CONFIG_HOME"] = str(room / "others")  # of the sound system
        make_folders(self._case)
        shutil.copytree(self._case, self._template)

    def all_cases(self, name: str, asked: argparse.Namespace) -> Tally:
        """Do a scenario undisturbed, and then with each fault at each of its sites, or a share of those."""
        scenario = SCENARIOS[name]
        before, tally = kept_in(self._template), Tally()
        self._done(scenario, wanted=-1)  # spoken and reckoned once, so that no case waits for it
        cache = self._case / "home" / "xdg_cache_home"
        if cache.is_dir():
            shutil.copytree(cache, self._template / cache.relative_to(self._case), dirs_exist_ok=True)
        code, said = self._done(scenario, wanted=-1)
        if code != 0:
            raise SystemExit(f"{name} fails undisturbed: {said}")
        after = kept_in(self._case)
        sites = self._sites()
        tally.calls, tally.sites = self._control.seen, len(sites)
        failing = sorted({at for alike in sites for at in (alike if asked.every else (alike[0], alike[-1]))})
        calls = {at: self._control.notes[at].name.decode() for at in failing}
        cases = [(at, fault) for at, call in calls.items() for fault in FAULTS[call]]
        tally.possible = len(cases)
        chance = random.Random(f"{asked.seed} {name}")
        if asked.once:
            cases = [(at, chance.choice(FAULTS[calls[at]])) for at in (alike[0] for alike in sites)]
        cases = chance.sample(cases, max(1, round(asked.share * len(cases))))
        over_s = _real_time() + asked.seconds
        for at, fault in cases:
            if _real_time() > over_s:
                break
            for _ in range(_TRIES):
                code, said = self._done(scenario, wanted=at, error=fault)
                hit = self._control.notes[at]
                call, path = hit.name.decode(), os.fsdecode(hit.path)
                if self._control.seen > at and fault in FAULTS[call]:
                    break  # else fewer calls this time, or another, which cannot fail so
            else:
                continue
            tally.codes[code] += 1
            why = wrong(self._case, scenario, (call, path, fault), code, said, before, after)
            if why:
                tally.finds.append(Find(name, call, self._shown(hit.path), NAMES[fault], why))
                sys.stderr.write(f"{tally.finds[-1]}\n")
        return tally

    def _sites(self) -> list[list[int]]:
        """Return the numbers of the calls of the last child, those that are alike together."""
        sites: dict[tuple[str, str, int], list[int]] = {}
        for at, each in enumerate(self._control.notes[: self._control.seen]):
            path = self._shown(each.path)
            sites.setdefault((each.name.decode(), kind_of_file(path), each.place), []).append(at)
        return list(sites.values())

    def _shown(self, path: bytes) -> str:
        return os.fsdecode(path).replace(str(self._case), "").replace(str(ROOT), "")

    def _listen(self) -> None:
        """Note from now on at which lines of the program each call is made; in a child."""

        def note(number: int) -> None:
            lines = [
                (frame.f_code.co_filename, line) for frame, line in traceback.walk_stack(sys._getframe())
            ]
            self._control.notes[number].place = zlib.crc32(repr(lines).encode())

        self._listener = _LISTENER(note)
        known = ctypes.c_void_p.in_dll(ctypes.CDLL(None), "disk_faults_listener")
        known.value = ctypes.cast(self._listener, ctypes.c_void_p).value

    def _done(self, scenario: Scenario, *, wanted: int, error: int = 0) -> tuple[int, str]:
        """Do it in a fresh copy of the folders; return the exit code and what was complained of."""
        shutil.rmtree(self._case)
        shutil.copytree(self._template, self._case)
        if scenario.words[:2] == ("starter", "--remove"):
            self._child(Scenario(("starter",)))
        self._control.wanted, self._control.error, self._control.seen = wanted, error, 0
        return self._child(scenario, armed=True)

    def _child(self, scenario: Scenario, *, armed: bool = False) -> tuple[int, str]:
        complaints = self._room / "complaints"
        child = os.fork()
        if child == 0:
            code = 99
            try:
                os.chdir(self._case / "work")
                _lead_output(self._room / "complaints", self._case / "told")
                if self._control.wanted < 0:
                    self._listen()
                self._control.armed = int(armed)
                code = _run(scenario)
            finally:
                os._exit(code)
        give_up_s = _real_time() + (LONGEST_S if self._control.wanted >= 0 else 10 * LONGEST_S)
        while os.waitpid(child, os.WNOHANG)[0] == 0:
            if _real_time() > give_up_s:
                os.kill(child, signal.SIGKILL)
                os.waitpid(child, 0)
                self._control.armed = 0
                return -1, "hangs"
            _real_sleep(0.004)
        self._control.armed = 0
        status = _status.get(child, 0)
        return status, complaints.read_text(errors="replace")


_LISTENER: Final = ctypes.CFUNCTYPE(None, ctypes.c_int)
_status: dict[int, int] = {}
_real_time, _real_sleep = time.monotonic, time.sleep
_waitpid = os.waitpid


def _noted(child: int, options: int) -> tuple[int, int]:
    found, status = _waitpid(child, options)
    if found:
        _status[found] = os.waitstatus_to_exitcode(status)
    return found, status


def _lead_output(complaints: Path, told: Path) -> None:
    for path, number in ((told, 1), (complaints, 2)):
        opened = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        os.dup2(opened, number)
        os.close(opened)


def _run(scenario: Scenario) -> int:
    from caller.cli import main

    if scenario.lead:
        _press_buttons(scenario.words[:1] == ("run",))
    if scenario.words[:1] == ("make",):
        _save_at_once()
    return main(list(scenario.words))


def _press_buttons(running: bool) -> None:
    """Skip through a lesson, or leave the start screen, as soon as there is a window."""
    import threading

    import pygame

    def press() -> None:
        while True:
            _real_sleep(0.05)
            if pygame.display.get_init():
                key = pygame.K_PAGEDOWN if running else pygame.K_ESCAPE
                pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, unicode=""))

    threading.Thread(target=press, daemon=True).start()


def _save_at_once() -> None:
    """Let the maker's window change what it shows and save it, in place of waiting for the teacher."""
    from PySide6.QtWidgets import QApplication

    from caller.maker.application import ClassWindow
    from caller.maker.lesson_window import MakerWindow

    def once(*_: object) -> int:
        for window in QApplication.topLevelWidgets():
            if isinstance(window, MakerWindow) and window.workshop.path:
                window.workshop.set_lesson("title", "Quarters again")
                window.workshop.save(window.workshop.path, replace=True)
            elif isinstance(window, ClassWindow):
                window.made.save({"name": "Terns", "minutes": 25})
        return 0

    setattr(QApplication, "exec", once)  # noqa: B010


def _load() -> None:
    """Load all that the verbs load, so that a case is only what the verb itself does."""
    import pkgutil
    from importlib import import_module

    import caller
    import caller.cli.hall as measuring
    from caller.hall.response import measure_response
    from caller.hall.sweep_run import SoundArrival

    for module in pkgutil.walk_packages(caller.__path__, "caller."):
        if not module.name.startswith(
            ("caller.sound.neural", "caller.sound.voice_worker", "caller.__main__")
        ):
            import_module(module.name)
    import numpy as np

    decay = np.random.default_rng(1).standard_normal(96_000) * 10 ** (-3 * np.arange(96_000) / 48_000)
    good, arrival = measure_response(decay, 48_000), SoundArrival(loudspeaker="hall", late_s=0.12)
    setattr(measuring, "measure_hall", lambda *_, **__: (good, arrival))  # noqa: B010 - the writing is
    setattr(measuring, "time_loudspeaker", lambda *_, **__: arrival)  # noqa: B010 - looked at
    setattr(measuring, "WARNING_S", 0)  # noqa: B010
    _let_encoders_be_quick()
    gc.collect()
    gc.freeze()  # what is loaded is not gone through again in each case


def _let_encoders_be_quick() -> None:
    """Make few and small pictures, and sounds roughly: by the same calls it all goes to the disk."""
    import caller.cli.export as exporting
    from caller.export import audio, formats, web
    from caller.export.programme import levelled
    from caller.export.web import pictures

    formats.SIZES["720p"] = (160, 90)
    setattr(exporting, "RATES", (5,))  # noqa: B010 - pictures a second
    setattr(pictures, "FULL", pictures.CALM)  # noqa: B010
    all_of = pictures.PictureBook.add
    drawn: list[Any] = []

    def a_few(book: pictures.PictureBook, *given: Any) -> None:
        drawn.append(given)
        if len(drawn) <= _FEW_CALLS:
            all_of(book, *given)

    setattr(pictures.PictureBook, "add", a_few)  # noqa: B010

    def mostly_silent(*given: Any, **named: Any) -> Iterator[Any]:
        for number, block in enumerate(levelled(*given, **named)):
            yield block if number < _FEW_BLOCKS else 0 * block

    setattr(audio, "levelled", mostly_silent)  # noqa: B010
    encoded = web.mp3_bytes
    setattr(web, "mp3_bytes", lambda blocks: encoded(islice(blocks, _FEW_BLOCKS)))  # noqa: B010
    begin = audio.SoundTrack.__init__

    def roughly(track: audio.SoundTrack, *given: Any, **named: Any) -> None:
        begin(track, *given, **named)
        track.stream.codec_context.options = {"aac_coder": "fast", "compression_level": "9"}

    setattr(audio.SoundTrack, "__init__", roughly)  # noqa: B010


def run_all(names: list[str], asked: argparse.Namespace) -> dict[str, Tally]:
    """Do the scenarios in this process, under which the library lies already."""
    os.waitpid = _noted
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as name:
        campaign = Campaign(Path(name))
        done = {}
        for each in names:
            tally = done[each] = campaign.all_cases(each, asked)
            cases, finds = sum(tally.codes.values()), len(tally.finds)
            sys.stderr.write(f"{each}: {tally.sites} sites, {cases} of {tally.possible}, {finds} finds\n")
            if asked.to:
                put_rows(asked.to, {each: done[each]})
        return done


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("names", nargs="*", metavar="SCENARIO", help=", ".join(SCENARIOS))
    parser.add_argument("--share", type=float, default=1.0, help="try only so much of the cases")
    parser.add_argument("--once", action="store_true", help="each site fails once, in one way by chance")
    parser.add_argument("--every", action="store_true", help="let every call of a site fail")
    parser.add_argument("--seconds", type=float, default=math.inf, help="of each scenario, try no longer")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--to", type=Path, metavar="FILE.md")
    asked = parser.parse_args()
    if "DISK_FAULTS" not in os.environ:
        return _again_under_the_library()
    names = asked.names or list(SCENARIOS)
    _load()
    done = run_all(names, asked)
    return 1 if any(tally.finds for tally in done.values()) else 0


def _again_under_the_library() -> int:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        control = folder / "control"
        control.write_bytes(bytes(ctypes.sizeof(_Control)))
        one = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
        screens = {"SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy", "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
        screens["QT_QPA_PLATFORM"] = "offscreen"
        under = {"LD_PRELOAD": str(build(folder)), "DISK_FAULTS": str(control)}
        environment = {**os.environ, **one, **screens, **under, "LC_ALL": "C.UTF-8", "PYTHONPATH": str(ROOT)}
        return subprocess.run(
            [sys.executable, "-m", "benchmarks.disk_faults", *sys.argv[1:]], env=environment, check=False
        ).returncode


def put_rows(page: Path, done: dict[str, Tally]) -> None:
    """Write what came of scenarios into the page, in the place of what came of them earlier."""
    rows = {}
    for line in page.read_text(encoding="utf-8").splitlines() if page.exists() else ():
        name, *figures = (each.strip() for each in line.strip("|").split("|"))
        if name in SCENARIOS:
            rows[name] = [int(each.replace(",", "")) for each in figures]
    for name, tally in done.items():
        codes = [tally.codes[code] for code in range(3)]
        rows[name] = [
            tally.calls,
            tally.sites,
            tally.possible,
            sum(tally.codes.values()),
            *codes,
            len(tally.finds),
        ]
    rows = {name: rows[name] for name in SCENARIOS if name in rows}
    rows["all"] = [sum(column) for column in zip(*rows.values(), strict=True)]
    says = (__doc__ or "").split("\n\n")
    page.write_text(
        "# When a call to the disk fails\n\n"
        f"{says[2]}\n\n{says[3]}\n\n{says[4]}\nTo make this page again, or the lines that are named:\n\n"
        "    python -m benchmarks.disk_faults [NAME...] [--seconds 60] --to docs/disk-faults.md\n\n"
        "With `--seconds`, as many cases of each line, chosen by chance, as fit into them; with `--once`, "
        "each\nsite fails in one way only, chosen by chance.\n\n"
        "| what is done | calls to the disk | sites | cases | tried | exit code 0 | 1 | 2 | finds |\n"
        "|---|---|---|---|---|---|---|---|---|\n"
        + "".join(f"| {name} | {' | '.join(f'{each:,}' for each in row)} |\n" for name, row in rows.items()),
        encoding="utf-8",
    )


if __name__ == "__main__":
    raise SystemExit(main())
