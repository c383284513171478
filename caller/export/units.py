"""A lesson's pictures in units: which come again, so that they are made once, and finished ones kept.

A kept unit lets an export that was cut short go on where it was.

A picture is known by its scene. Most of a lesson's pictures differ from their neighbours only in how far the
figures have moved, and figures move in loops: after some number of frames they stand as before, or so nearly
that nobody sees it. So a stretch in which nothing else changes is a short run of pictures, repeated. Encoded
from its own key frame and without later frames, such a run can be repeated as it is, packet by packet, and
cut anywhere.

An SQLite file: a unit is in it wholly or not at all, even if the process is killed.
"""

from __future__ import annotations

import contextlib
import sqlite3
import time
import zlib
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import accumulate, count, groupby, pairwise
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from caller.file_writing import private_file
from caller.moves import catalogue
from caller.moves.poses.tables import TEMPO_HZ
from caller.paths import private_folder, user_cache
from caller.runsheet.movement import moves_on
from caller.screen.scene import Scene

LOOP_S = 2  # shorter loops are repeated to at least this long: so often there is a key frame anyway
SAVED_S = 1  # a loop must save at least this much
RUN_S = 10  # runs that do not repeat are parted after this long: an export cut short loses no more
KEY_S = 2  # players that go to key frames only land no further off
_NEVER = 10**9
NEAR = 1 / 200  # of a figure's loop: by so much a figure may stand off where it began


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """Frames encoded on their own: `count` frames from `start`, of which the first `drawn` repeat."""

    start: int
    count: int
    drawn: int

    @property
    def stop(self) -> int:
        """The first frame after it."""
        return self.start + self.count

    def is_key(self, number: int, fps: int) -> bool:
        """Tell whether the frame that is `number` after `start` can be gone to: one at least every 2 s.

        Never the last that is drawn: the frame after it is one, and two next to each other would have to tell
        each other apart (H.264, idr_pic_id).
        """
        place = number % self.drawn
        return place % (KEY_S * fps - 1) == 0 and (place == 0 or place != self.drawn - 1)


def units(
    scene_of: Callable[[int], Scene], frames: int, fps: int, starts: Collection[int] = ()
) -> tuple[Unit, ...]:
    """Divide `frames` frames into units; `scene_of(k)` is what frame k shows.

    Each of `starts` begins a unit, so that a player can go straight to it; not one that comes a single frame
    after another, or at the very end.
    """
    found: list[Unit] = []
    plain_from = 0
    cuts = frozenset(starts)
    for first, stop, still in _shots(scene_of, frames, cuts):
        if first in cuts and first - plain_from >= 2 and frames - first >= 2:
            _add_plain(found, plain_from, first, fps)
            plain_from = first
        start = 2 if first == 1 else first  # no unit comes before a lone first frame that could take it in
        period = loop_frames(still, fps)
        drawn = period * -(-LOOP_S * fps // period)
        if stop - start < drawn + SAVED_S * fps:
            continue
        _add_plain(found, plain_from, start, fps)
        loop = Unit(start=start, count=stop - start, drawn=drawn)
        if loop.is_key(loop.count - 1, fps):  # the next unit begins with a key frame
            loop = replace(loop, count=loop.count - 2)
        found.append(loop)
        plain_from = loop.stop
    _add_plain(found, plain_from, frames, fps)
    return tuple(found)


@cache
def loop_frames(scene: Scene, fps: int) -> int:
    """Return after how many frames all figures stand as before; 1 where none moves.

    Breathing follows the words, which never come round.
    """
    if scene.doing == "breathe":
        return _NEVER
    loops_per_frame = [hz / fps for hz in _loops_hz(scene)]
    return next(
        frames
        for frames in count(1)
        if all(abs(frames * loops - round(frames * loops)) <= NEAR for loops in loops_per_frame if loops)
    )


def _loops_hz(scene: Scene) -> tuple[float, ...]:
    """Return how many loops a second each figure does."""
    if scene.doing == "shake":
        return (TEMPO_HZ["shaking-out"],)
    if scene.doing == "clap":
        return (TEMPO_HZ["clapping"],)
    if scene.doing not in ("move", "show"):
        return ()
    return tuple(scene.bpm / 60.0 / catalogue()[move].beats for move in moves_on(scene.board))


def _shots(
    scene_of: Callable[[int], Scene], frames: int, cuts: Collection[int]
) -> Iterator[tuple[int, int, Scene]]:
    """Yield the stretches in which only figures move: first frame, the frame after the last, the scene."""
    calls = accumulate(int(k in cuts) for k in range(frames))
    stills = (
        (k, call, replace(scene_of(k), move_s=0.0)) for k, call in zip(range(frames), calls, strict=True)
    )
    for (_, still), shot in groupby(stills, key=lambda frame: frame[1:]):
        numbers = [k for k, _, _ in shot]
        yield numbers[0], numbers[-1] + 1, still


def _add_plain(found: list[Unit], start: int, stop: int, fps: int) -> None:
    """Add the frames from `start` to `stop` as units that do not repeat."""
    if start == stop:
        return
    if stop - start < 2 and found:
        # Two key frames next to each other would have to tell each other apart (H.264, idr_pic_id).
        last = found.pop()
        found.append(replace(last, count=last.count - 1, drawn=min(last.drawn, last.count - 1)))
        start -= 1
    parts = -(-(stop - start) // (RUN_S * fps))
    edges = [start + (stop - start) * part // parts for part in range(parts + 1)]
    for first, after in pairwise(edges):
        found.append(Unit(start=first, count=after - first, drawn=after - first))


_TABLE: Final = (
    "CREATE TABLE IF NOT EXISTS unit "
    "(start INTEGER PRIMARY KEY, sizes TEXT NOT NULL, packets BLOB NOT NULL, crc INTEGER NOT NULL)"
)
_KEPT_S: Final = 7 * 24 * 3600.0


class UnitStore:
    """Packets of finished units by the frame they start at.

    Keeping them is a help, never a need: where there is no room, no right or no place for them, or another
    export of the same lesson has them, nothing is kept and nothing is said.

    Parameters
    ----------
    fingerprint
        What the pictures depend on. What an earlier export left is used if it was for the same.
    folder
        Where they are kept; in the user's cache if left out.
    """

    def __init__(self, fingerprint: str, folder: Path | None = None) -> None:
        folder = user_cache() / "videos" if folder is None else folder
        self._path = folder / f"{fingerprint}.units"
        self._database: sqlite3.Connection | None = None
        try:
            private_folder(folder)
            _clear_old(folder)
            self._open()
        except (sqlite3.OperationalError, OSError):
            self._let_go()
        except (sqlite3.DatabaseError, UnicodeDecodeError):  # the second: SQLite's words quote the damage
            self.discard()
            with contextlib.suppress(sqlite3.Error, OSError, UnicodeDecodeError):
                self._open()

    def _open(self) -> None:
        private_file(self._path)
        database = self._database = sqlite3.connect(self._path, timeout=0.0)
        database.execute("PRAGMA locking_mode = EXCLUSIVE")  # two exports of one lesson do not mix
        if database.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
            raise sqlite3.DatabaseError("damaged")
        with database:
            database.execute(_TABLE)
            database.execute("DELETE FROM unit WHERE start < 0")  # takes the lock

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._let_go()

    def get(self, start: int) -> list[bytes] | None:
        """Return the packets of a unit, or None where they are not there or are damaged."""
        if self._database is None:
            return None
        try:
            row = self._database.execute(
                "SELECT sizes, packets, crc FROM unit WHERE start = ?", (start,)
            ).fetchone()
            if row is None or zlib.crc32(row[1]) != row[2]:
                return None
            edges = [0, *accumulate(map(int, row[0].split()))]
        except (sqlite3.DatabaseError, ValueError, TypeError):
            return None
        return [row[1][first:after] for first, after in pairwise(edges)]

    def put(self, start: int, packets: list[bytes]) -> None:
        """Keep the packets of a unit; where there is no room, this and what follows is not kept."""
        if self._database is None:
            return
        joined = b"".join(packets)
        sizes = " ".join(str(len(packet)) for packet in packets)
        row = (start, sizes, joined, zlib.crc32(joined))
        try:
            with self._database:
                self._database.execute("INSERT OR REPLACE INTO unit VALUES (?, ?, ?, ?)", row)
        except (sqlite3.DatabaseError, OSError):
            self.discard()  # the room it takes is better left to the video

    def discard(self) -> None:
        """Close the file and delete it."""
        mine = self._database is not None
        self._let_go()
        if mine:
            for leftover in (self._path, self._path.with_name(self._path.name + "-journal")):
                with contextlib.suppress(OSError):
                    leftover.unlink(missing_ok=True)

    def _let_go(self) -> None:
        if self._database is not None:
            with contextlib.suppress(sqlite3.Error):
                self._database.close()
            self._database = None


def _clear_old(folder: Path) -> None:
    """Delete what belongs to exports that nobody has gone on with."""
    for left in folder.glob("*.units*"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > _KEPT_S:
                left.unlink()
