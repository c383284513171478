"""Balances: on the right leg, then on the left; swaying a little, as children do."""

from __future__ import annotations

from math import cos, pi
from typing import Final

from caller.moves.poses.keyframes import Animation, Key, Values, key
from caller.moves.poses.skeleton import View
from caller.moves.poses.tables.stances import ON_HIP, swung

_STANDING: Final = (0.055, 0.0, 0.055, 0.0)
_OVER: Final = 0.048  # how far to the side the pelvis is while one leg carries it
_UPRIGHT: Final[dict[str, float | Values]] = {"hips": (0, 0, 0), "chest": (0, 0, 0), "head": (0, 0, 0)}


def _changing_over(**rest: float | Values) -> tuple[Key, Key]:
    """Return the end of half a loop: the lifted foot down, then the weight over it."""
    still = {**_UPRIGHT, **rest, "feet": _STANDING}
    return key(0.42, "smooth", at=(-_OVER, 0, 0), **still), key(0.46, "smooth", at=(_OVER, 0, 0), **still)


def _held(
    hold: dict[str, float | Values], sway: dict[str, float | Values], **rest: float | Values
) -> tuple[Key, ...]:
    """Return half a loop on the right leg: a pose held, swaying; `rest` is how the limbs change over."""
    pose = {**_UPRIGHT, **hold, "foot_r": _STANDING}
    # The other side has nothing to hold until its turn comes.
    other = {f"{name[:-2]}_r": rest[f"{name[:-2]}s"] for name in hold if name in ("toe_l", "knee_l")}
    return (
        key(0.0, "smooth", **pose, **other),
        key(0.2, "smooth", **sway),
        key(0.36, "smooth", **pose),
        *_changing_over(**rest),
    )


def _swings() -> tuple[Key, ...]:
    """Return half a loop: the left leg swings forwards and back, twice."""
    keys = []
    for step in range(25):
        back = (1 - cos(4 * pi * step / 24)) / 2
        angle = 48 - 82 * back
        made = key(
            0.37 * step / 24,
            "linear",
            at=(-_OVER, -0.004, 0),
            hips=(0, -8 + 18 * back, -5),
            foot_r=_STANDING,
            foot_l=swung(angle, out=0.085, length=0.925, hip_up=0.004),
            arms=(66, 10, 8, 80),
        )
        keys.append(made)
    down, over = _changing_over(arms=(66, 10, 8, 80))
    return (*keys, down, over)


ANIMATIONS: Final[dict[str, Animation]] = {
    "one-leg-stand": Animation(
        works="legs",
        view=View.SIDE,
        alternates=True,
        hands="hips",
        keys=_held(
            {
                "at": (-_OVER, 0, 0),
                "chest": (0, 0, -2),
                "foot_l": (0.06, 0.19, -0.18, 85),
                "hands": ON_HIP,
                "elbows": 15,
            },
            {"at": (-0.044, 0, 0), "chest": (0, 0, 2), "foot_l": (0.06, 0.20, -0.18, 85)},
            hands=ON_HIP,
        ),
    ),
    "tree": Animation(
        works="legs",
        view=View.FRONT,
        alternates=True,
        keys=_held(
            {
                "at": (-_OVER, 0, 0),
                "chest": (0, 0, -1.5),
                "foot_l": (-0.012, 0.085, 0.05, 50),
                "toe_l": (58, 0),
                "knee_l": 66,
                "hands": (-0.062, 0.262, 0.03),
                "elbows": 86,
            },
            {"at": (-0.045, 0, 0), "chest": (0, 0, 1.5)},
            hands=(-0.062, 0.262, 0.03),
            toes=(8, 0),
            knees=0,
        ),
    ),
    "aeroplane": Animation(
        works="both",
        view=View.GLIDING,
        alternates=True,
        keys=_held(
            {
                "at": (-_OVER, -0.015, -0.06),
                "hips": (0, 66, -4),
                "head": (0, -58, 0),
                "foot_l": (0.06, 0.36, -0.56, 125),
                "arms": (90, 0, 4, 90),
            },
            {"at": (-_OVER, -0.015, -0.06), "hips": (0, 66, 4), "foot_l": (0.06, 0.375, -0.56, 125)},
            arms=(82, 0, 4, 90),
        ),
    ),
    "tiptoe-stand": Animation(
        works="legs",
        view=View.THREE_QUARTER,
        keys=(
            key(
                0.0, at=(0, 0.05, 0.055), chest=(0, 0, -1.5), feet=(0.05, 0, 0.055, 60), arms=(38, 10, 8, 70)
            ),
            key(0.5, at=(0, 0.05, 0.06), chest=(0, 0, 1.5), arms=(42, 10, 8, 70)),
        ),
    ),
    "heel-to-toe-stand": Animation(
        works="legs",
        view=View.THREE_QUARTER,
        keys=(
            key(
                0.0,
                at=(-0.004, -0.005, 0.045),
                chest=(0, 0, -3),
                foot_l=(0.0, 0, 0.155, 0),
                foot_r=(0.0, 0, 0.0, 0),
                toes=(0, 0),
                arm_l=(78, 0, 6, 90),
                arm_r=(72, 0, 6, 90),
            ),
            key(0.5, at=(0.004, -0.005, 0.045), chest=(0, 0, 3), arm_l=(72, 0, 6, 90), arm_r=(78, 0, 6, 90)),
        ),
    ),
    "leg-swings": Animation(works="legs", view=View.THREE_QUARTER, alternates=True, keys=_swings()),
    "star-balance": Animation(
        works="both",
        view=View.FRONT,
        alternates=True,
        keys=_held(
            {
                "at": (-0.066, -0.002, 0),
                "hips": (0, 0, -9),
                "chest": (0, 0, 4),
                "head": (0, 0, 3),
                "foot_l": (0.33, 0.135, 0.04, 20),
                "toe_l": (20, -20),
                "arms": (118, 0, 3, 0),
            },
            {
                "at": (-0.063, -0.002, 0),
                "hips": (0, 0, -9),
                "chest": (0, 0, 7),
                "foot_l": (0.33, 0.145, 0.04, 20),
            },
            arms=(118, 0, 3, 0),
            toes=(8, 0),
        ),
    ),
    "knee-hug": Animation(
        works="legs",
        view=View.SIDE,
        alternates=True,
        hands="world",
        keys=_held(
            {
                "at": (-_OVER, 0, 0),
                "hips": (0, -4, 0),
                "chest": (0, 4, 0),
                "foot_l": (0.05, 0.305, 0.17, 18),
                "hand_l": (0.075, 0.515, 0.20),
                "hand_r": (-0.01, 0.515, 0.20),
                "elbows": 25,
            },
            {
                "at": (-0.046, 0, 0),
                "foot_l": (0.05, 0.312, 0.165, 18),
                "hand_l": (0.075, 0.522, 0.195),
                "hand_r": (-0.01, 0.522, 0.195),
            },
            hands=(0.1, 0.60, 0.16),
        ),
    ),
}
