"""Where two pictures of a lesson differ, so that only that is drawn, converted or sent on again."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from caller.clock.cues import Cue
from caller.runsheet.model import Board, FiguresDo, Side
from caller.screen.caption import last_seconds
from caller.screen.cues import come_to, reach
from caller.screen.figures_on_stage import ink
from caller.screen.ground import bead_count, bead_place, beads_left
from caller.screen.layout import places
from caller.screen.rect import Rect
from caller.screen.scene import Scene
from caller.screen.stage import performers
from caller.screen.theme import Theme

Box = tuple[int, int, int, int]  # left, top, right, bottom in pixels, all even

_ROUND = 4  # pixels around a changed part, for its soft edges


def changed(before: Scene | None, after: Scene, width: int, height: int, theme: Theme) -> list[Box]:
    """Return boxes that hold everything in which two pictures differ; they do not overlap."""
    if before is None or _rarely_changed(before) != _rarely_changed(after):
        return [(0, 0, width, height)]
    return _apart([_even(rect, width, height) for rect in _parts(before, after, width, height, theme)])


def _parts(before: Scene, after: Scene, width: int, height: int, theme: Theme) -> Iterator[Rect]:
    """Yield the places of the parts that differ."""
    board = after.board
    placed = places(board, width, height)
    if _figures(before) != _figures(after):
        for one, other in zip(
            performers(before, width, height), performers(after, width, height), strict=True
        ):
            if one != other:
                yield ink(one, theme)
                yield ink(other, theme)
    if _cues(before) != _cues(after):
        for dial in placed.middle.dials[-1:]:
            yield reach(dial.centre, dial.radius)
        if board.jumps and placed.middle.asked is not None:
            yield placed.middle.asked
    if before.count != after.count and placed.count is not None:
        yield placed.count
    if _foot(before) != _foot(after):
        yield placed.caption
    if before.think_s != after.think_s:
        yield placed.beads
    elif after.think_s is not None:
        left = sorted(beads_left(after.think_s, scene.left_s) for scene in (before, after))
        for number in range(floor(left[0]), min(ceil(left[1]), bead_count(after.think_s))):
            if left[0] != left[1]:
                yield bead_place(after.think_s, number, placed.beads)


def _figures(scene: Scene) -> tuple[FiguresDo, float, float]:
    return scene.doing, scene.move_s, scene.bpm


def _rarely_changed(scene: Scene) -> tuple[Board, Side | None, str]:
    """Return what may change any part of the picture."""
    return scene.board, scene.point_to, scene.notice


def _cues(scene: Scene) -> list[tuple[Cue, float]]:
    """Return the cues, each as far as it has come."""
    return [(active.cue, come_to(active)) for active in scene.cues]


def _foot(scene: Scene) -> tuple[str, int | None, int | None]:
    """Return what stands in the caption's place: words and a number."""
    return scene.caption, scene.count, last_seconds(scene.think_s, scene.left_s)


def _even(rect: Rect, width: int, height: int) -> Box:
    """Return the box around a place: colours are stored for two pixels by two."""
    return (
        max(floor((rect.x - _ROUND) / 2) * 2, 0),
        max(floor((rect.y - _ROUND) / 2) * 2, 0),
        min(ceil((rect.right + _ROUND) / 2) * 2, width),
        min(ceil((rect.bottom + _ROUND) / 2) * 2, height),
    )


def _apart(boxes: list[Box]) -> list[Box]:
    """Return the boxes with those that overlap joined."""
    apart: list[Box] = []
    for box in boxes:
        while overlapping := [one for one in apart if _overlap(one, box)]:
            apart = [one for one in apart if one not in overlapping]
            lefts, tops, rights, bottoms = zip(*overlapping, box, strict=True)
            box = (min(lefts), min(tops), max(rights), max(bottoms))
        apart.append(box)
    return apart


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
