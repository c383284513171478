"""How each move looks: a jointed figure posed at any phase of a move's loop, on a beat, or as a clock.

`pose(slug, phase)` gives the joints; `loop(slug, n)` a whole loop at once; `animation(slug)` its view;
`contacts(slug)` the phases a beat belongs on; `clock_arms(hour_deg, minute_deg)` the figure that makes the
hands of a clock. `STANCES` are the figures that do no move: waiting, hanging loose, shaking out, clapping,
breathing.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from math import ceil, floor
from types import MappingProxyType
from typing import Final

import numpy as np

from caller.errors import NotFoundError
from caller.moves import RUNNING_BPM, WALKING_BPM, catalogue
from caller.moves.poses import tables
from caller.moves.poses.keyframes import Animation, Works
from caller.moves.poses.kinematics import Solver
from caller.moves.poses.skeleton import BONES, FOREARM, HAND, MIRRORED, UPPER_ARM, Array, Joint, View

DIAL_VIEW: Final = View.FRONT

# How far an arm that crosses the body is held before it, as a share of its length.
_BEFORE: Final = 0.4
_NEARLY_UPRIGHT: Final = float(np.sin(np.radians(16)))


def dial_arms(hour_deg: float, minute_deg: float) -> Array:
    """Return the joints of a figure whose arms make the hands of a clock as the class sees them.

    The straight arm is the minute hand. The folded arm is the hour hand: its elbow points, the fist is at the
    shoulder. The hour hand is made by the arm on its own side, the minute hand by the other one; where both
    lie on one side, the long arm crosses the body.

    Parameters
    ----------
    hour_deg, minute_deg
        Clockwise from twelve, as seen from the front.

    Returns
    -------
    Array
        Joint positions, shape (joints, 3).
    """
    points: Array = Solver({}, 1, "chest", flat_hands=False).solve()[0].copy()
    hour_side, minute_side = _sides(hour_deg % 360, minute_deg % 360)
    _aim(points, minute_side, minute_deg, folded=False)
    _aim(points, hour_side, hour_deg, folded=True)
    return points


def _sides(hour_deg: float, minute_deg: float) -> tuple[str, str]:
    """Return the arms that make the hour and the minute hand; the figure's left is the class's right."""
    upright = abs(np.sin(np.radians(hour_deg))) < _NEARLY_UPRIGHT
    # An hour hand that points nearly straight up or down leaves the choice to the minute hand.
    left = minute_deg > 180 if upright else hour_deg < 180
    return ("L", "R") if left else ("R", "L")


def _aim(points: Array, side: str, angle_deg: float, *, folded: bool) -> None:
    right, up, towards = DIAL_VIEW.axes
    angle = np.radians(angle_deg)
    flat = np.sin(angle) * right + np.cos(angle) * up
    crosses = np.sin(angle) * (1 if side == "L" else -1) < 0
    before = _BEFORE * min(1.0, abs(np.sin(angle)) * 2) if crosses else 0.0
    # Leaning straight towards the eye leaves the angle on the picture exact.
    pointing = flat * np.sqrt(1 - before**2) + towards * before
    shoulder = points[Joint[f"SHOULDER_{side}"]]
    elbow = shoulder + UPPER_ARM * pointing
    back = pointing
    if folded:
        back = -pointing * 0.8 + towards * 0.6
        back /= np.linalg.norm(back)
    wrist = elbow + FOREARM * back
    points[Joint[f"ELBOW_{side}"]] = elbow
    points[Joint[f"WRIST_{side}"]] = wrist
    points[Joint[f"HAND_{side}"]] = wrist + HAND * back


_TRAIL_SHARE: Final = 0.2
_TRAIL_POINTS: Final = 16
_ROPE_REACH: Final = 0.62


def trail(points: Array, joint: Joint, step: int) -> Array:
    """Return the path of `joint` over the last fifth of the loop `points`, oldest first, shape (16, 3)."""
    steps = len(points)
    back = np.linspace(_TRAIL_SHARE * steps, 0, _TRAIL_POINTS).round().astype(int)
    path: Array = points[(step - back) % steps, joint]
    return path


def rope(points: Array, phase: float) -> Array:
    """Return a rope between the hands, shape (25, 3): overhead at phase 0, under the feet at one half."""
    along = np.linspace(0.0, 1.0, 25)[:, None]
    left, right = points[Joint.HAND_L], points[Joint.HAND_R]
    turn = 2 * np.pi * phase
    outwards = np.array([0.0, np.cos(turn), np.sin(turn)])
    bow: Array = left + (right - left) * along + _ROPE_REACH * np.sin(np.pi * along) ** 0.6 * outwards
    return bow


__all__ = [
    "ANIMATIONS",
    "BONES",
    "DIAL_VIEW",
    "MIRRORED",
    "STANCES",
    "Animation",
    "Joint",
    "Pose",
    "View",
    "Works",
    "animation",
    "bearing",
    "clock_arms",
    "contacts",
    "loop",
    "phase_at",
    "pose",
]

ANIMATIONS: Final[Mapping[str, Animation]] = MappingProxyType(tables.ANIMATIONS)
"""Every move's loop by its slug."""

STANCES: Final[Mapping[str, Animation]] = MappingProxyType(tables.STANCES)
"""Loops that are no move of the catalogue, by name; every function here takes these names too."""

_STEPS: Final = 480
_TOGETHER: Final = _STEPS // 40
_LAG_S: Final = 0.07  # how late loose hair and hands follow; by eye
_LOOSE: Final = 0.5  # how much of that a hand gives way
_MOST_BEHIND: Final = 0.05  # body units
_ON_THE_FLOOR: Final = 0.6  # a neck lower than this is on all fours or lying

# How near the floor a joint's middle is when the body rests on it there.
_RESTING: Final[dict[Joint, float]] = {
    **dict.fromkeys(
        (Joint.HEEL_L, Joint.HEEL_R, Joint.BALL_L, Joint.BALL_R, Joint.TOE_L, Joint.TOE_R), 0.002
    ),
    **dict.fromkeys((Joint.WRIST_L, Joint.WRIST_R, Joint.HAND_L, Joint.HAND_R), 0.027),
    **dict.fromkeys((Joint.ELBOW_L, Joint.ELBOW_R), 0.032),
    **dict.fromkeys((Joint.KNEE_L, Joint.KNEE_R), 0.042),
    **dict.fromkeys((Joint.PELVIS, Joint.SPINE, Joint.NECK), 0.07),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pose:
    """The figure at one moment.

    Attributes
    ----------
    points
        Joint positions in body units, shape (joints, 3), read-only; row numbers are `Joint` values.
    bearing
        The joints that rest on the floor.
    seat
        Height of the seat under the figure, or None where it does not sit on one.
    hints
        Thin lines that tell the movement, each of shape (points, 3).
    works
        Which limbs do the move, and are marked.
    drag
        How far what hangs loose lags behind the head, in body units, shape (3,).
    """

    points: Array
    bearing: frozenset[Joint]
    seat: float | None = None
    hints: tuple[Array, ...] = ()
    works: Works = "none"
    drag: Array = field(default_factory=lambda: np.zeros(3))

    def __getitem__(self, joint: Joint) -> Array:
        point: Array = self.points[joint]
        return point


def animation(slug: str) -> Animation:
    """Return a move's loop; raises NotFoundError for an unknown slug."""
    found = ANIMATIONS.get(slug) or STANCES.get(slug)
    if found is None:
        raise NotFoundError(f"There is no figure for the move {slug!r}.")
    return found


@lru_cache(maxsize=16)
def loop(slug: str, moments: int = 48) -> Array:
    """Return joint positions at `moments` evenly spaced phases, shape (moments, joints, 3), read-only."""
    points = _solved(slug, moments)
    points.setflags(write=False)
    return points


def _solved(slug: str, moments: int) -> Array:
    moving = animation(slug)
    channels = moving.channels(np.arange(moments) / moments)
    return Solver(channels, moments, moving.hands, flat_hands=moving.flat_hands).solve()


def bearing(points: Array) -> frozenset[Joint]:
    """Return the joints of one pose that rest on the floor."""
    heights = points[:, 1].tolist()
    return frozenset(joint for joint, height in _RESTING.items() if heights[joint] <= height)


def pose(slug: str, phase: float) -> Pose:
    """Return the figure doing the move `slug` at `phase` of its loop (wraps at 1), to the nearest 480th."""
    # Solving a whole loop at once costs about as much as five single poses, and a lesson shows it hundreds
    # of times.
    whole, drags = _weighted(slug)
    step = round(phase * _STEPS) % _STEPS
    points = whole[step]
    moving = animation(slug)
    hints = tuple(trail(whole, joint, step) for joint in moving.trail)
    if moving.rope:
        hints += (rope(points, step / _STEPS),)
    return Pose(
        points=points,
        bearing=bearing(points),
        seat=tables.SEAT_HEIGHT if moving.seated else None,
        hints=hints,
        works=moving.works or "none",
        drag=drags[step],
    )


@cache
def _weighted(slug: str) -> tuple[Array, Array]:
    """Return a move's whole loop with hands that follow through, and how far loose hair lags behind.

    What hangs loose follows what holds it as a spring with much damping would: late, and less far. A hand
    turns about its wrist, and keeps its length. Hands that bear weight, or hold on to something, stay.
    """
    moving = animation(slug)
    whole = _solved(slug, _STEPS)
    lag = _LAG_S * loops_a_second(slug) * _STEPS
    drags = _behind(whole[:, Joint.HEAD], lag)
    if moving.hands == "chest" and not moving.flat_hands:
        for side in ("L", "R"):
            wrist, hand = whole[:, Joint[f"WRIST_{side}"]], whole[:, Joint[f"HAND_{side}"]]
            length = np.linalg.norm(hand - wrist, axis=1, keepdims=True)
            turned = hand - wrist + _LOOSE * _behind(wrist - whole[:, Joint.NECK], lag)
            whole[:, Joint[f"HAND_{side}"]] = wrist + turned * (
                length / np.linalg.norm(turned, axis=1, keepdims=True)
            )
    whole.setflags(write=False)
    drags.setflags(write=False)
    return whole, drags


def _behind(path: Array, lag: float) -> Array:
    """Return how far what follows a point round its loop, `lag` steps late, is behind it, (steps, 3)."""
    ago = np.arange(len(path))
    share = np.exp(-ago / max(lag, 1e-6))
    spectrum = np.fft.rfft(share / share.sum())[:, None]
    followed: Array = np.fft.irfft(np.fft.rfft(path, axis=0) * spectrum, n=len(path), axis=0)
    behind = followed - path
    size = np.linalg.norm(behind, axis=1, keepdims=True)
    held: Array = behind * np.minimum(1.0, _MOST_BEHIND / np.maximum(size, 1e-9))
    return held


def phase_at(slug: str, time_s: float, *, tempo_hz: float | None = None) -> float:
    """Return the phase of the loop at `time_s`, at `tempo_hz` repetitions a second (the catalogue's tempo).

    A repetition is the whole loop: both sides of a move that alternates.
    """
    return (time_s * (tempo_hz if tempo_hz is not None else loops_a_second(slug))) % 1.0


def loops_a_second(slug: str) -> float:
    """Return how often the loop of a move or a stance comes round in a second, by itself."""
    return tables.TEMPO_HZ[slug] if slug in STANCES else catalogue()[slug].tempo_hz


@cache
def contacts(slug: str) -> tuple[float, ...]:
    """Return the phases of the loop that belong on a beat, ascending, at least one.

    They are where a foot lands. A move whose feet stay put has its beat where it first comes to the most: the
    bottom of a squat, the end of a reach; once on each side if it alternates.
    """
    whole = _solved(slug, _STEPS)
    landed = sorted({step for side in ("L", "R") for step in _landings(whole, side)})
    # Feet that come down together, or one just after the other, are one landing.
    apart = [step for n, step in enumerate(landed) if n == 0 or step - landed[n - 1] > _TOGETHER]
    if len(apart) > 1 and apart[0] + _STEPS - apart[-1] <= _TOGETHER:
        apart = apart[1:]
    if not apart:
        quiet = loop("sitting-ready" if animation(slug).seated else "standing-ready", 1)[0]
        on_floor = whole[0, Joint.NECK, 1] < _ON_THE_FLOOR
        away = np.linalg.norm(whole - (whole[0] if on_floor else quiet), axis=(1, 2))
        sides = 2 if animation(slug).alternates else 1
        first = int(np.argmax(away >= away.max() - 0.02 * np.ptp(away))) % (_STEPS // sides)
        apart = [first + n * _STEPS // sides for n in range(sides)]
    return tuple(step / _STEPS for step in apart)


def _landings(whole: Array, side: str) -> list[int]:
    """Return the moments at which the foot of one side comes down."""
    heights = whole[:, [Joint[f"{part}_{side}"] for part in ("HEEL", "BALL", "TOE")], 1]
    down = heights.min(axis=1) <= _RESTING[Joint.BALL_L]
    return [int(step) for step in np.flatnonzero(down & ~np.roll(down, 1))]


def clock_arms(hour_deg: float, minute_deg: float) -> Pose:
    """Return the figure that makes a clock's hands with its arms, seen in `DIAL_VIEW`.

    The straight arm is the minute hand; the folded arm is the hour hand, and its elbow points. Angles are
    clockwise from twelve, as the class sees them.
    """
    points = dial_arms(hour_deg, minute_deg)
    points.setflags(write=False)
    return Pose(points=points, bearing=bearing(points))


LONGEST_BEAT_S: Final = 1.5
"""Five-year-olds cannot keep longer intervals (Bobin-Bègue and Provasi; from memory)."""


def shared_bpm(slugs: Collection[str]) -> float:
    """Return the pace that carries all these moves at one time: a running one where any of them runs."""
    return RUNNING_BPM if any(catalogue()[slug].running for slug in slugs) else WALKING_BPM


def phase_on_beat(slug: str, beats: float) -> float:
    """Return the phase, 0 to 1, of a move's loop so many beats after it begins (before it: below 0).

    Feet land, and reaches end, exactly on beats. Between two of them the loop runs evenly, a little faster or
    slower than by itself. It begins on a whole beat before its first landing.
    """
    landings, begins = _on_beats(slug)
    per_loop = catalogue()[slug].beats
    within = ((beats + begins) / per_loop * len(landings)) % len(landings)
    last = min(floor(within), len(landings) - 1)
    following = landings[last + 1] if last + 1 < len(landings) else landings[0] + 1.0
    return (landings[last] + (within - last) * (following - landings[last])) % 1.0


@cache
def _on_beats(slug: str) -> tuple[tuple[float, ...], int]:
    """Return the landings that beats fall on, and how many beats of the loop are over when it begins."""
    landings = contacts(slug)
    beats = catalogue()[slug].beats
    # More landings than beats, or a number that the beats cannot share evenly: keep the first of each beat.
    if beats % len(landings):
        landings = landings[:1]
    lead = ceil(round(landings[0] * beats, 6))
    return landings, -lead % beats
