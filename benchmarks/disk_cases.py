"""What is done while a call to the disk fails, and what may come of it."""

from __future__ import annotations

import errno
import re
import sqlite3
import time
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from caller.record.store import Store

HALF: Final = -1
NAMES: Final = {
    errno.EACCES: "EACCES", errno.EIO: "EIO", errno.ENOSPC: "ENOSPC", errno.EINTR: "EINTR", HALF: "half",
}  # fmt: skip
FAULTS: Final = {
    "open": (errno.EACCES, errno.EIO, errno.EINTR),
    "create": (errno.EACCES, errno.EIO, errno.ENOSPC, errno.EINTR),
    "read": (errno.EIO, errno.EINTR, HALF),
    "write": (errno.EIO, errno.ENOSPC, errno.EINTR, HALF),
    "fsync": (errno.EIO, errno.ENOSPC),
    "truncate": (errno.EIO, errno.ENOSPC),
    "close": (errno.EIO,),
    "lock": (errno.EIO,),
    "chmod": (errno.EACCES, errno.EIO),
    "unlink": (errno.EACCES, errno.EIO),
    "rmdir": (errno.EACCES, errno.EIO),
    "mkdir": (errno.EACCES, errno.EIO, errno.ENOSPC),
    "rename": (errno.EACCES, errno.EIO, errno.ENOSPC),
    "stat": (errno.EACCES, errno.EIO),
    "list": (errno.EACCES, errno.EIO),
}
"""How each kind of call can fail (from memory of the manual pages; what is open is not refused any more)."""

CODES: Final = {errno.EACCES: {0, 2}, errno.EIO: {0, 1}, errno.ENOSPC: {0, 1}, errno.EINTR: {0}, HALF: {0}}
# Taken up by the next that opens the record: its own, and lessons that had to be kept elsewhere.
_COMPANIONS: Final = (".sqlite3-journal", ".sqlite3-wal", ".sqlite3-shm", ".spare.sqlite3")
_RECORD_FILE: Final = "record.sqlite3"
_DRAFTS: Final = "/making/"  # what could not be saved is kept there, and offered again
_WITHOUT: Final = ("told", ".lock", "loudspeakers.toml")  # what is done without where it cannot be had
_RECORD, _DAMAGED = b"a record: ", b"a damaged record: "
UNDOING: Final = ("unlink", "rmdir", "list", "stat", "open", "close")
"""Where one of these fails while what is unfinished is taken away, it cannot be."""

_LESSON: Final = """title = "Quarters"
step = "quarters"
age = 7
seed = 5
think_seconds = 4
catch_up = { kind = "none" }
close = { breaths = 0 }
[opening]
safety = false
warm_up_seconds = 0
[worked_example]
skip = true
[practice]
skip = true
[voice]
rate_wpm = 200
[[round]]
time = "7:45"
moves = ["side-bends", "march"]
"""
_CLASS: Final = 'name = "Terns"\nage = "6-7"\nminutes = 15\nstep = "quarters"\n'


@dataclass(frozen=True)
class Scenario:
    """A command, and the files that it writes."""

    words: tuple[str, ...]
    makes: tuple[str, ...] = ()
    varies: bool = False  # what is written differs each time, or where the program's own tones had to do
    lead: bool = False  # a lesson is led: time runs faster


def _to(*words: str, varies: bool = False) -> Scenario:
    return Scenario((*words, "--replace"), (words[words.index("--to") + 1],), varies=varies)


SCENARIOS: Final = {
    "show": Scenario(("show", "short.toml")),
    "show, a picture": _to("show", "short.toml", "--call", "2", "--to", "call.png"),
    "show, activity": _to("show", "short.toml", "--activity", "--to", "activity.png", varies=True),
    "check": Scenario(("check", "short.toml"), varies=True),
    "lessons": Scenario(("lessons",)),
    "new lesson": _to("new", "lesson", "--to", "new.toml"),
    "new class": _to("new", "class", "--to", "new.toml"),
    "new hall": _to("new", "hall", "--to", "new.toml"),
    "make": Scenario(("make", "short.toml"), varies=True),
    "make --class": Scenario(("make", "--class", "Terns"), varies=True),
    "plan": _to("plan", "terns.toml", "--to", "planned.toml", varies=True),
    "handover": Scenario(
        ("handover", "terns.toml", "--minutes", "5", "--to", "folder"), ("folder",), varies=True
    ),
    "record": Scenario(("record",)),
    "record of a class": Scenario(("record", "Terns", "--json")),
    "record, a table": _to("record", "Terns", "--to", "record.csv"),
    "record, a picture": _to("record", "Terns", "--to", "record.pdf", varies=True),
    "record backup": _to("record", "backup", "--to", "copy.sqlite3", varies=True),
    "record restore": Scenario(("record", "restore", "kept.sqlite3")),
    "record forget": Scenario(("record", "forget", "Terns")),
    "hall": Scenario(("hall", "hall.toml", "--json")),
    "hall, a map": _to("hall", "hall.toml", "--to", "map.png"),
    "hall measure": Scenario(("hall", "measure", "hall.toml")),
    "hall measure --delay": Scenario(("hall", "measure", "--delay")),
    "dial": _to("dial", "4:40", "--to", "dial.svg"),
    "explain": _to("explain", "4:40", "--to", "why.png"),
    "moves": _to("moves", "march", "--to", "march.png"),
    "about": Scenario(("about",), varies=True),
    "starter": Scenario(("starter",), varies=True),
    "starter, away": Scenario(("starter", "--remove")),
    "export sound": _to("export", "short.toml", "--to", "lesson.wav", varies=True),
    "export coded sound": _to("export", "short.toml", "--to", "lesson.mp3", varies=True),
    "export captions": _to("export", "short.toml", "--to", "lesson.vtt", varies=True),
    "export sheet": _to("export", "short.toml", "--to", "lesson.pdf", varies=True),
    "export page": _to("export", "short.toml", "--to", "lesson.html", varies=True),
    "export video": _to(
        "export", "short.toml", "--size", "720p", "--fps", "5", "--to", "lesson.mp4", varies=True
    ),
    "run": Scenario(
        ("run", "short.toml", "--mute", "--window", "--log", "log.txt", "--replace"), ("log.txt",),
        varies=True, lead=True,
    ),
    "start": Scenario((), lead=True),
}  # fmt: skip


def make_folders(case: Path) -> None:
    """Fill the user's folders and the one to work in, as they are before each case."""
    from caller.paths import private_folder, user_data
    from caller.record.store import Store

    case.mkdir()
    work = case / "work"
    work.mkdir()
    (work / "short.toml").write_text(_LESSON)
    (work / "terns.toml").write_text(_CLASS)
    (work / "hall.toml").write_text('like = "gym"\n')
    (work / "folder").mkdir()
    for name in {each for scenario in SCENARIOS.values() for each in scenario.makes} - {"folder"}:
        (work / name).write_text("the old one")
    (case / "tmp").mkdir()
    private_folder(user_data())
    with Store() as store:
        _keep_a_lesson(store, began_s=time.time() - 180_000)
        store.backup(work / "kept.sqlite3")
        store.forget(None)
        _keep_a_lesson(store, began_s=time.time() - 90_000)


def _keep_a_lesson(store: Store, *, began_s: float) -> None:
    from caller.clock import ClockTime
    from caller.clock.mixups import explained_by
    from caller.record import Offered, RoundKept
    from caller.record import Tally as Shown

    number = store.begin(
        class_name="Terns", title="Quarters", began_s=began_s, planned_s=None, stand_in=False,
        run_sheet="{}", branches="{}",
    )  # fmt: skip
    true, other = ClockTime.parse("7:45"), ClockTime.parse("8:45")
    wrong = Offered(time=other, mixups=explained_by(true, other, ["digital"]))
    shown = RoundKept(
        number=1, part="round", at_s=began_s + 60, question="read", step="quarters", time=true,
        wrong=(wrong,), answer="left", tally=Shown(judgement="few"),
    )  # fmt: skip
    store.keep(number, shown)
    store.end(number, began_s + 900, "ended")


def kind_of_file(path: str) -> str:
    """Return a path, from the case's folder or the program's on, without what differs in files of a kind."""
    path = re.sub(r"\.hall-caller-[^/]*", ".hall-caller-", path)
    if path.startswith(("/work/", "/home/xdg_data_home/")):
        return path  # the user's own files have names
    return f"{''.join(path.split('/')[1:2])}/*{Path(path).suffix}"


def kept_in(case: Path) -> dict[str, bytes]:
    """Return every file of the user's with what is in it; of a record, what it tells."""
    kept = {}
    for top in (case / "work", case / "home" / "xdg_data_home", case / "home" / "home", case / "told"):
        for path in (top, *top.rglob("*")):
            if path.is_file():
                content = path.read_bytes()
                if content.startswith(b"SQLite format 3"):
                    content = _dumped(path)
                kept[path.relative_to(case).as_posix()] = content
    return kept


def wrong(
    case: Path,
    scenario: Scenario,
    fault: tuple[str, str, int],
    code: int,
    said: str,
    before: dict[str, bytes],
    after: dict[str, bytes],
) -> str:
    """Say what should not have come of it; empty if all is well."""
    call, path, error = fault
    complaints = re.findall(r"^hall-caller: .*", said, re.MULTILINE)
    if "Traceback" in said or "not your fault" in said:
        return f"{code} {said.strip()[-300:]}"
    # What lies in the program's own folders is nobody's choice.
    own = error == errno.EACCES and ("/work/" not in path or "/.hall-caller-" in path)
    if code not in CODES[error] | ({1} if own else set()):
        return f"exit code {code}: {said.strip()[-200:]}"
    if scenario.words[0:1] == ("check",) and code == 2 and _told_in(case):
        complaints = ["told where the lessons are told of"]
    if len(complaints) != (code != 0):
        return f"exit code {code} with {len(complaints)} complaints: {said.strip()[-200:]}"
    now = kept_in(case)
    for name, old in before.items():
        if name not in now and name in after:
            return f"{name} is gone"
        if name in now and now[name] != old and not _new(scenario, name, now[name], after, old):
            return f"{name} is neither the old one nor the new ({len(now[name])} bytes)"
    for name in now.keys() - before.keys():
        if call == "rename" and _is_beside(scenario, name, now[name], after):
            continue
        if "--remove" in scenario.words and name.endswith(".desktop"):
            continue  # it was there, and could not be taken away
        if ".hall-caller-" in name:
            if call not in UNDOING:
                return f"left {name}"
        elif name.endswith(_COMPANIONS) or (_DRAFTS in name and (code != 0 or call in UNDOING)):
            continue
        elif name not in after and not any(name.startswith(f"{each}/") for each in scenario.makes):
            return f"left {name}"
        elif name != "told" and not _new(scenario, name, now[name], after):
            return f"{name} is cut ({len(now[name])} bytes)"
    if code == 0:
        for name, new in after.items():
            if name.endswith(_WITHOUT):
                continue
            if name not in now:
                return f"exit code 0 without {name}"
            if now[name] == before.get(name) != new and not (
                name.endswith(_RECORD_FILE) and _kept_apart(case)
            ):
                return f"exit code 0, and {name} is still the old one"
        # What a class knows fades as time passes, so that its figures differ.
        printed = [re.sub(rb"[0-9.]+", b"0", each["told"]) for each in (now, after)]
        told = said or b"Cannot be used: " in now["told"]
        if not scenario.varies and not told and printed[0] != printed[1]:
            return f"exit code 0, and something else was printed: {now['told'][-200:]!r}"
    return ""


def _new(scenario: Scenario, name: str, content: bytes, after: dict[str, bytes], old: bytes = b"") -> bool:
    """Tell whether a file is as it should be after the command."""
    good = after.get(name, b"")
    if name == "told" or content == good:
        return True
    if content.startswith(_RECORD):  # times in it differ
        return _lessons_in(content) in {_lessons_in(good), _lessons_in(old)}
    if content.startswith(_DAMAGED) or not scenario.varies:
        return False
    # Planned without what could not be read a lesson is another one, and where the program's own tones had to
    # do it sounds another way: smaller, and whole.
    if name.endswith(".toml"):
        return b"[[round]]" in content and content.endswith(b"\n")
    least = 0.5 * len(good)
    if name.endswith(".mp4"):
        return _boxes(content) == _boxes(good) != [] and len(content) > least
    if end := _ENDS.get(Path(name).suffix):
        return content.rstrip().endswith(end) and len(content) > least
    return name.endswith("log.txt") or len(content) > 0.9 * len(good) > 0


_ENDS: Final = {".pdf": b"%%EOF", ".html": b"</html>"}


def _boxes(content: bytes) -> list[bytes]:
    """Return what a video is made of (ISO/IEC 14496-12, 4.2); nothing where one is cut."""
    found, at = [], 0
    while at < len(content):
        found.append(content[at + 4 : at + 8])
        size = int.from_bytes(content[at : at + 4], "big")
        if size < 8 or at + size > len(content):
            return []
        at += size
    return found


def _told_in(case: Path) -> bytes:
    return (case / "told").read_bytes()


def _kept_apart(case: Path) -> bool:
    """Tell whether a lesson lies beside the record, or in the cache, to be taken up by the next."""
    spares = [_dumped(path) for path in (case / "home").rglob(f"*{_COMPANIONS[-1]}")]
    return len(spares) == 1 and spares[0].startswith(_RECORD) and _lessons_in(spares[0]) == 1


def _lessons_in(dump: bytes) -> int:
    return dump.count(b'INSERT INTO "lesson"')


def _is_beside(scenario: Scenario, name: str, content: bytes, after: dict[str, bytes]) -> bool:
    """Tell whether a file is the whole new one, beside the place where it could not be put."""
    meant = re.sub(r"-2(?=\.\w+$)", "", name)
    return meant != name and _new(scenario, meant, content, after)


def _dumped(path: Path) -> bytes:
    """Return what a record holds, whole or damaged."""
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as record:
            if record.execute("pragma integrity_check").fetchone() != ("ok",):
                return _DAMAGED
            return _RECORD + "\n".join(record.iterdump()).encode()
    except sqlite3.Error as error:
        return _DAMAGED + str(error).encode()
