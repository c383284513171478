"""Which two moves make a fair pair of choices, and how different two look: a distance in body heights.

A pair is fair when a teacher can tell the two apart across a hall, when neither is the easier answer, and
when both are safe here and now. The planner picks only fair pairs; a teacher's own choice gets the objections
as advice.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import combinations
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from caller.moves import Move, catalogue, find
from caller.moves.poses import MIRRORED, Joint, loop

TELLABLE: Final = 0.1377
"""Two moves at least this different, in body heights, can be told apart at a glance.

Drawn in the gap between two lists judged by eye from the filmstrips (own judgement; the tests hold both).
Pairs that a glance mixes up reach 0.137: lunges forwards and backwards, side bends and side stretches, squats
narrow and wide. Pairs that it does not start at 0.149: twists and rowing on a chair, star jumps and squats,
tree and aeroplane. The gap is narrow, and the line errs to the careful side of some pairs that could be told
apart. On a child of 1.25 m it is 17 cm for every joint all the time. Pace counts for nothing: a move done
slowly is still that move.
"""

_MOMENTS: Final = 48

_ROWS: Final = np.arange(_MOMENTS)[None, :]
_DIAGONALS: Final = (np.arange(_MOMENTS)[None, :] - np.arange(_MOMENTS)[:, None]) % _MOMENTS

_SEEN: Final = [
    joint
    for joint in Joint
    if joint.name.partition("_")[0]
    in {"PELVIS", "NECK", "HEAD", "SHOULDER", "ELBOW", "HAND", "KNEE", "ANKLE", "TOE"}
]


def difference(a: str, b: str) -> float:
    """Return how far apart the joints of two moves are over a loop, in body heights.

    Both loops are stretched to the same length and centred on their own place. The root mean square distance
    between the same joints is taken over the loop, seen from the front and from the side. The result is its
    least value over all starts of the second loop, as it is and as its mirror image (hopping on the other leg
    is no other move). It is symmetric, and 0 for a move and itself.
    """
    return _difference(*sorted((a, b)))


@cache
def _difference(a: str, b: str) -> float:
    first, second, mirrored = _features(a), _features(b), _features(b, mirror=True)
    # |x - y|² = |x|² + |y|² - 2 x·y, and only x·y depends on the start: one product's wrapped diagonals.
    meeting = max(
        np.max(np.sum((first @ other.T)[_ROWS, _DIAGONALS], axis=1)) for other in (second, mirrored)
    )
    squared = (np.sum(first**2) + np.sum(second**2) - 2 * meeting) / (_MOMENTS * len(_SEEN))
    return float(np.sqrt(max(squared, 0.0)))


@cache
def _features(slug: str, *, mirror: bool = False) -> NDArray[np.float64]:
    """Return what the two views show of a loop, one row a moment; the height is in both."""
    points = loop(slug, _MOMENTS)
    if mirror:
        points = points[:, MIRRORED] * (-1.0, 1.0, 1.0)
    # Where in its space a child does the move tells nothing about which move it is.
    points = points - points[:, Joint.PELVIS].mean(axis=0) * (1.0, 0.0, 1.0)
    weighted: NDArray[np.float64] = points[:, _SEEN] * np.sqrt([0.5, 1.0, 0.5])
    return weighted.reshape(_MOMENTS, -1)


Difference = Callable[[str, str], float]
Code = Literal[
    "same-move",
    "avoided",
    "chair",
    "space",
    "impact",
    "slippery",
    "floor",
    "noise",
    "effort",
    "impact-again",
    "muscle-again",
    "alike",
    "alike-seated",
]

EFFORT_GAP_MET: Final = 1.5
"""Two choices differ by less than this: the width of the light class, 1.5 to 3 METy (own choice).

So a pair lies within one class or across one border, and the easy move is never the tempting answer."""

_BANDS_Y: Final = (6.0, 10.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """The hall and the class, as far as they limit moves.

    Attributes
    ----------
    space_radius_m
        Radius of the free circle each child has.
    shod
        The floor is walked on in shoes, so hands and backs stay off it. Without shoes nobody jumps: socks
        slip.
    floor_ok
        The floor is clean and warm enough to lie on.
    wet
        The floor is damp: no floor moves and no jumps.
    avoid
        Slugs of moves that this class does not do.
    seated_needed
        A child answers from a chair or wheelchair, so the seated versions must be told apart too.
    chairs
        The whole class sits: only seated moves fit. Otherwise they are kept for those who need them.
    maximum_impact
        The highest impact (0 to 3) allowed.
    quiet_needed
        Someone works below or beside the hall.
    """

    space_radius_m: float = 1.0
    shod: bool = True
    floor_ok: bool = True
    wet: bool = False
    avoid: frozenset[str] = field(default_factory=frozenset)
    seated_needed: bool = False
    chairs: bool = False
    maximum_impact: int = 3
    quiet_needed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Objection:
    """One reason against a pair: a code to test for, and a sentence for the teacher."""

    code: Code
    sentence: str


def objections(
    a: str,
    b: str,
    *,
    conditions: Conditions,
    previous: Sequence[str] = (),
    difference: Difference = difference,
) -> tuple[Objection, ...]:
    """Return every reason against offering moves `a` and `b` together; none for a fair pair.

    Parameters
    ----------
    a, b
        Slugs or English names.
    previous
        The moves of the call just before, of which any child may have done either.
    difference
        How far apart two moves look, in body units.

    Raises
    ------
    NotFoundError
        A move is not in the catalogue.
    """
    first, second = find(a), find(b)
    return (
        *_in_this_hall(first, conditions),
        *_in_this_hall(second, conditions),
        *_together(first, second),
        *_in_succession(first, second, [find(name) for name in previous]),
        *_at_a_glance(first, second, conditions, difference),
    )


def fair_pairs(
    conditions: Conditions,
    previous: Sequence[str] = (),
    difference: Difference = difference,
    *,
    among: Collection[str] | None = None,
) -> tuple[tuple[str, str], ...]:
    """Return every fair pair, in the catalogue's order; of the slugs `among` only, where given."""
    before = [find(name) for name in previous]
    # Each move is judged alone first, and looks are compared last, because they cost the most.
    here = [
        move
        for move in catalogue().values()
        if (among is None or move.slug in among) and not any(_in_this_hall(move, conditions))
    ]
    return tuple(
        (a.slug, b.slug)
        for a, b in combinations(here, 2)
        if not any(_together(a, b))
        and not any(_in_succession(a, b, before))
        and not any(_at_a_glance(a, b, conditions, difference))
    )


def fair_threes(pairs: Sequence[tuple[str, str]]) -> tuple[tuple[str, str, str], ...]:
    """Return every three moves of which any two are among the fair `pairs`, in the catalogue's order."""
    fair = frozenset(pairs)
    # Pairs keep the catalogue's order, so every three are met with their last move as the third.
    return tuple((a, b, c) for a, b in pairs for first, c in pairs if first == b and (a, c) in fair)


def _in_this_hall(move: Move, conditions: Conditions) -> Iterator[Objection]:
    """Yield what speaks against one move here, whatever it is paired with."""
    name = _capital(move.name())
    if move.slug in conditions.avoid:
        yield Objection(code="avoided", sentence=f"{name}: this class avoids it.")
    if conditions.chairs and move.kind != "seated":
        yield Objection(code="chair", sentence=f"{name}: the class sits, and this needs standing room.")
    if not conditions.chairs and move.kind == "seated":
        yield Objection(code="chair", sentence=f"{name}: it needs a chair for every child.")
    if move.radius_m > conditions.space_radius_m:
        needed = f"each child needs {move.radius_m:.1f} m all round"
        yield Objection(code="space", sentence=f"{name}: {needed} and has {conditions.space_radius_m:.1f} m.")
    if move.impact > conditions.maximum_impact:
        above = f"above the limit of {conditions.maximum_impact}"
        yield Objection(code="impact", sentence=f"{name}: its impact of {move.impact} is {above}.")
    if move.high_impact and (conditions.wet or not conditions.shod):
        where = "on a wet floor" if conditions.wet else "in socks or bare feet"
        yield Objection(code="slippery", sentence=f"{name}: no jumping or running {where}.")
    if move.floor and (conditions.wet or conditions.shod or not conditions.floor_ok):
        why = "wet" if conditions.wet else "walked on in shoes" if conditions.shod else "not fit to lie on"
        yield Objection(code="floor", sentence=f"{name}: hands or body touch the floor, which is {why}.")
    if conditions.quiet_needed and move.noisy:
        yield Objection(code="noise", sentence=f"{name}: its landings are loud, and quiet is needed.")


def _together(a: Move, b: Move) -> Iterator[Objection]:
    """Yield what speaks against two moves as equally tempting choices."""
    if a.slug == b.slug:
        yield Objection(code="same-move", sentence=f"Both choices are {a.name()}.")
    gap = max(abs(a.effort.met(age) - b.effort.met(age)) for age in _BANDS_Y)
    # The table holds one decimal, so the gap is compared at one decimal as well.
    if round(gap, 1) >= EFFORT_GAP_MET:
        easy, hard = sorted((a, b), key=lambda move: move.effort.met_6_9)
        much = f"{gap:.1f} METs easier than {hard.name()}"
        yield Objection(code="effort", sentence=f"{_capital(easy.name())}: {much}, so it would tempt.")


def _in_succession(a: Move, b: Move, before: Sequence[Move]) -> Iterator[Objection]:
    """Yield what speaks against two moves right after the last ones."""
    jumped = next((move for move in before if move.high_impact), None)
    for move in (a, b):
        if jumped and move.high_impact:
            again = f"{_capital(move.name())}: high impact again, right after {jumped.name()}."
            yield Objection(code="impact-again", sentence=again)
    # Bouts are short, with half a minute of listening between: what counts is that none can rest a muscle.
    if before and {move.muscle for move in before} == {a.muscle} == {b.muscle}:
        told = f"{_capital(a.name())} and {b.name()}: the same muscles ({a.muscle}) again, for every child."
        yield Objection(code="muscle-again", sentence=told)


def _at_a_glance(a: Move, b: Move, conditions: Conditions, difference: Difference) -> Iterator[Objection]:
    """Yield what would keep a teacher from telling the two moves apart."""
    both = f"{_capital(a.name())} and {b.name()}"
    if a.slug != b.slug and difference(a.slug, b.slug) < TELLABLE:
        yield Objection(code="alike", sentence=f"{both}: too much alike from across the hall.")
    if a.slug != b.slug and a.jumps and b.jumps:
        yield Objection(
            code="alike", sentence=f"{both}: two jumps are hard to tell apart among many children."
        )
    # One sitting down always counts, so no two choices may be the same one sitting down.
    same = a.slug != b.slug and a.seated == b.seated
    if same or (conditions.seated_needed and difference(a.seated, b.seated) < TELLABLE):
        yield Objection(code="alike-seated", sentence=f"{both}: their seated versions are too much alike.")


def _capital(name: str) -> str:
    return name[0].upper() + name[1:]
