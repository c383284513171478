from __future__ import annotations

import os
import sqlite3
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from caller.clock import ClockTime
from caller.export.programme import Programme
from caller.export.units import KEY_S, LOOP_S, NEAR, UnitStore, loop_frames, units
from caller.export.video import Frames
from caller.moves import catalogue
from caller.moves.poses import phase_on_beat
from caller.runsheet import Board, Lane
from caller.runsheet.movement import moves_on
from caller.screen.scene import Scene

FIGURE = Board(layout="figure", move="march", move_name="march")


@pytest.mark.parametrize("fps", [25, 30])
@pytest.mark.parametrize("move", sorted(catalogue()))
def test_after_its_loop_a_figure_stands_where_it_began(move: str, fps: int) -> None:
    scene = Scene(board=Board(layout="figure", move=move), bpm=catalogue()[move].bpm)
    frames = loop_frames(scene, fps)
    off = (phase_on_beat(move, frames / fps * scene.bpm / 60) - phase_on_beat(move, 0.0)) % 1.0
    assert min(off, 1 - off) <= NEAR + 1e-9
    assert frames <= 12 * fps


def test_two_figures_loop_together() -> None:
    lanes = tuple(
        Lane(side=side, numeral="", words="", move=move, move_name=move)  # type: ignore[arg-type]
        for side, move in (("left", "march"), ("right", "star-jumps"))
    )
    frames = loop_frames(Scene(board=Board(layout="clock", lanes=lanes)), 30)
    for lane in lanes:
        loops = Fraction(catalogue()[lane.move].tempo_hz).limit_denominator(100) * frames / 30
        assert abs(loops - round(loops)) <= NEAR


def test_a_board_without_moving_figures_is_one_picture() -> None:
    assert loop_frames(Scene(board=Board(layout="title", title="Half past")), 30) == 1
    assert loop_frames(Scene(board=Board(layout="figure", move="march", arms=ClockTime(3, 0))), 30) == 1
    assert loop_frames(Scene(board=FIGURE, doing="still"), 30) == 1


def test_breathing_follows_the_words_and_is_never_repeated() -> None:
    found = units(lambda k: Scene(board=FIGURE, doing="breathe", move_s=k / 30), 600, 30)
    assert all(unit.drawn == unit.count for unit in found)


def test_a_still_stretch_is_drawn_for_two_seconds_and_then_repeated() -> None:
    found = units(lambda k: Scene(board=Board(layout="title"), move_s=k / 30), 900, 30)
    assert [(unit.start, unit.count, unit.drawn) for unit in found] == [(0, 900, LOOP_S * 30)]


def test_what_changes_at_every_frame_is_drawn_at_every_frame() -> None:
    found = units(lambda k: Scene(board=FIGURE, think_s=20, left_s=20 - k / 30), 600, 30)
    assert [(unit.start, unit.count, unit.drawn) for unit in found] == [(0, 300, 300), (300, 300, 300)]


@given(st.lists(st.integers(1, 200), min_size=1, max_size=12))
@example([1, 120])
@example([1, 121])
def test_units_cover_every_frame_once_and_no_two_key_frames_touch(lengths: list[int]) -> None:
    captions = [str(shot) for shot, length in enumerate(lengths) for _ in range(length)]
    found = units(lambda k: Scene(board=FIGURE, caption=captions[k], move_s=k / 30), len(captions), 30)
    assert [unit.start for unit in found] == [0, *[unit.stop for unit in found[:-1]]]
    assert found[-1].stop == len(captions)
    for unit in found:
        assert 1 <= unit.drawn <= unit.count
        assert unit.drawn >= 2 or len(captions) == 1
        # What is repeated shows the same but for the moving figures.
        assert unit.drawn == unit.count or len({captions[k] for k in range(unit.start, unit.stop)}) == 1


@given(st.lists(st.integers(1, 200), min_size=1, max_size=12), st.sets(st.integers(0, 1500), max_size=12))
def test_every_start_can_be_gone_to_and_no_two_key_frames_touch(lengths: list[int], starts: set[int]) -> None:
    captions = [str(shot) for shot, length in enumerate(lengths) for _ in range(length)]
    count = len(captions)
    found = units(lambda k: Scene(board=FIGURE, caption=captions[k], move_s=k / 30), count, 30, starts)
    keys = [unit.start + n for unit in found for n in range(unit.count) if unit.is_key(n, 30)]
    apart = [b - a for a, b in zip(keys, [*keys[1:], count], strict=True)]
    assert max(apart) <= KEY_S * 30
    if count > 2:
        assert min(apart[:-1], default=2) >= 2
    for start in starts:
        near = [key for key in keys if 0 < abs(key - start) <= 2]
        assert start in keys or near or not 2 <= start <= count - 2


def test_repeated_pictures_of_a_lesson_differ_only_by_how_far_a_figure_has_moved(
    programme: Programme,
) -> None:
    frames = Frames(programme, 30, burn_captions=False)
    loops = [unit for unit in frames.units if unit.drawn < unit.count]
    assert loops
    for unit in loops:
        for k in range(unit.start + unit.drawn, unit.stop):
            shown, meant = frames.scene(unit.start + (k - unit.start) % unit.drawn), frames.scene(k)
            for move in moves_on(meant.board) if meant.doing == "move" else ():
                at, due = (phase_on_beat(move, each.move_s * each.bpm / 60) for each in (shown, meant))
                off = abs(at - due)
                repeats = (k - unit.start) // unit.drawn * (unit.drawn / loop_frames(meant, 30))
                assert min(off, 1 - off) <= NEAR * repeats + 1e-6


PACKETS = [b"key", b"", b"\x00\x01\x02"]


def test_units_are_there_for_the_next_export_of_the_same(tmp_path: Path) -> None:
    with UnitStore("same", tmp_path) as store:
        store.put(30, PACKETS)
    with UnitStore("same", tmp_path) as store:
        assert store.get(30) == PACKETS
        assert store.get(60) is None


def test_units_of_another_lesson_or_look_are_not_used(tmp_path: Path) -> None:
    with UnitStore("one", tmp_path) as store:
        store.put(0, PACKETS)
    with UnitStore("other", tmp_path) as store:
        assert store.get(0) is None


def test_a_file_that_is_no_store_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "same.units"
    path.write_bytes(b"something else entirely" * 100)
    with UnitStore("same", tmp_path) as store:
        store.put(0, PACKETS)
        assert store.get(0) == PACKETS


def test_a_damaged_unit_is_not_used(tmp_path: Path) -> None:
    path = tmp_path / "same.units"
    with UnitStore("same", tmp_path) as store:
        store.put(0, PACKETS)
    with sqlite3.connect(path) as database:
        database.execute("UPDATE unit SET packets = ?", (b"kex\x00\x01\x02",))
    database.close()
    with UnitStore("same", tmp_path) as store:
        assert store.get(0) is None


def test_no_room_costs_what_is_kept_and_not_the_export(tmp_path: Path) -> None:
    with UnitStore("same", tmp_path) as store:
        assert store._database is not None
        store._database.execute("PRAGMA max_page_count = 4")
        store.put(0, [bytes(100_000)])
        assert store.get(0) is None
        store.put(30, PACKETS)
        assert store.get(30) is None
    assert list(tmp_path.iterdir()) == []


def test_no_place_to_keep_anything_costs_nothing(tmp_path: Path) -> None:
    (tmp_path / "in the way").write_text("a file")
    with UnitStore("same", tmp_path / "in the way") as store:
        store.put(0, PACKETS)
        assert store.get(0) is None
        store.discard()
    assert (tmp_path / "in the way").read_text() == "a file"


def test_two_exports_of_one_lesson_do_not_mix(tmp_path: Path) -> None:
    with UnitStore("same", tmp_path) as store:
        store.put(0, PACKETS)
        with UnitStore("same", tmp_path) as second:
            assert second.get(0) is None
            second.put(30, [b"other"])
            second.discard()
        assert store.get(0) == PACKETS
        assert store.get(30) is None


def test_what_nobody_went_on_with_is_cleared_away(tmp_path: Path) -> None:
    old = tmp_path / "old.units"
    old.write_bytes(b"old")
    os.utime(old, (0, 0))
    with UnitStore("same", tmp_path):
        assert not old.exists()


def test_discarding_leaves_nothing(tmp_path: Path) -> None:
    with UnitStore("same", tmp_path) as store:
        store.put(0, PACKETS)
        store.discard()
    assert list(tmp_path.iterdir()) == []
