"""Stretches and calm moves."""

from __future__ import annotations

from typing import Final

from caller.moves.poses.keyframes import Animation, Key, key
from caller.moves.poses.skeleton import HIP_HEIGHT, SHANK, THIGH, View
from caller.moves.poses.tables.stances import ball_of, swept

_KNEE: Final = (0.041, -0.14)


def _cat(hollow: float) -> Key:
    """Hands and knees planted; the pelvis tucks under for the round back and tips out for the flat one."""
    ankle = (_KNEE[0] + 0.006, _KNEE[1] - SHANK * 0.9995)
    return key(
        0,
        at=(0, _KNEE[0] + THIGH * 0.998 - HIP_HEIGHT, _KNEE[1] + 0.002),
        hips=(0, 40 + 58 * hollow, 0),
        chest=(0, 82 - 106 * hollow, 0),
        head=(0, 52 - 92 * hollow, 0),
        feet=(0.055, *ball_of(*ankle, 150), 150),
        hands=(0.105, 0.025, _KNEE[1] + 0.262),
    )


_OVER: Final = (168, 0, 30, 0)

ANIMATIONS: Final[dict[str, Animation]] = {
    "sky-reach": Animation(
        works="arms",
        view=View.FRONT,
        keys=(
            key(0.0, at=(0, 0, 0), feet=(0.065, 0, 0.055, 0), arms=(10, 30, 12, 60), head=(0, 0, 0)),
            key(0.05, at=(0, 0, 0), feet=(0.065, 0, 0.055, 0), arms=(10, 30, 12, 60), head=(0, 0, 0)),
            key(
                0.40,
                at=(0, 0.03, 0.035),
                feet=(0.065, 0, 0.055, 38),
                arms=(176, 20, 3, 0),
                shoulders=(22, 0),
                head=(0, -14, 0),
            ),
            key(
                0.62,
                at=(0, 0.03, 0.035),
                feet=(0.065, 0, 0.055, 38),
                arms=(176, 20, 3, 0),
                shoulders=(22, 0),
                head=(0, -14, 0),
            ),
            key(0.97, shoulders=(0, 0)),
        ),
    ),
    "forward-fold": Animation(
        works="arms",
        view=View.SIDE,
        keys=(
            key(0.0, at=(0, 0, 0), hips=(0, 0, 0), chest=(0, 0, 0), head=(0, 0, 0), arms=(4, 88, 8, 0)),
            key(0.06, at=(0, 0, 0), hips=(0, 0, 0), chest=(0, 0, 0), head=(0, 0, 0), arms=(4, 88, 8, 0)),
            key(
                0.38,
                at=(0, -0.03, -0.085),
                hips=(0, 80, 0),
                chest=(0, 46, 0),
                head=(0, 14, 0),
                arms=(126, 88, 6, 0),
            ),
            key(
                0.68,
                at=(0, -0.024, -0.085),
                hips=(0, 80, 0),
                chest=(0, 50, 0),
                head=(0, 18, 0),
                arms=(132, 88, 6, 0),
            ),
        ),
    ),
    "side-stretch": Animation(
        works="arms",
        view=View.FRONT,
        alternates=True,
        keys=(
            key(
                0.0,
                chest=(0, 0, 0),
                hips=(0, 0, 0),
                at=(0, 0, 0),
                feet=(0.12, 0, 0.055, 0),
                arms=(10, 20, 12, 70),
            ),
            key(
                0.16,
                chest=(0, 0, 30),
                hips=(0, 0, 9),
                head=(0, 0, 8),
                at=(-0.035, 0, 0),
                arm_l=(32, 20, 10, 70),
                arm_r=_OVER,
            ),
            key(
                0.32,
                chest=(0, 0, 33),
                hips=(0, 0, 9),
                head=(0, 0, 8),
                at=(-0.035, 0, 0),
                arm_l=(34, 20, 10, 70),
                arm_r=_OVER,
            ),
        ),
    ),
    "shoulder-hug": Animation(
        works="arms",
        view=View.FRONT,
        keys=(
            key(0.0, arms=(92, -6, 6, 90), chest=(0, -6, 0), head=(0, -5, 0)),
            key(0.08, arms=(92, -6, 6, 90), chest=(0, -6, 0), head=(0, -5, 0)),
            key(0.24, arms=(78, 60, 60, 90)),
            key(0.40, arms=(66, 106, 118, 104), chest=(0, 9, 0), head=(0, 14, 0), shoulders=(8, 22)),
            key(0.72, arms=(66, 106, 122, 104), chest=(0, 10, 0), head=(0, 16, 0), shoulders=(8, 24)),
            key(0.86, arms=(78, 60, 60, 90)),
            key(0.98, shoulders=(0, 0)),
        ),
    ),
    "slow-breaths": Animation(
        works="arms",
        view=View.FRONT,
        keys=(
            key(0.0, arms=(34, 20, 112, 128), shoulders=(-2, 6), chest=(0, 6, 0), head=(0, 8, 0)),
            key(0.42, arms=(52, 12, 118, 140), shoulders=(20, -4), chest=(0, -7, 0), head=(0, -10, 0)),
            key(0.52, arms=(52, 12, 118, 140), shoulders=(20, -4), chest=(0, -7, 0), head=(0, -10, 0)),
        ),
    ),
    "butterfly-sit": Animation(
        works="legs",
        view=View.FRONT,
        hands="world",
        keys=(
            key(
                0.0,
                at=(0, 0.062 - HIP_HEIGHT, -0.05),
                hips=(0, 4, 0),
                chest=(0, 8, 0),
                feet=(0.02, 0.03, 0.17, 0),
                toes=(10, 78),
                knees=84,
                hands=(0.045, 0.10, 0.14),
                elbows=70,
            ),
            key(0.5, knees=60),
        ),
    ),
    "cat-stretch": Animation(works="none", view=View.SIDE, hands="world", flat_hands=True, keys=swept(_cat)),
    "shoulder-shakes": Animation(
        works="arms",
        view=View.FRONT,
        alternates=True,
        keys=(
            key(
                0.0,
                shoulder_l=(30, 6),
                shoulder_r=(-12, -4),
                chest=(0, 0, -5),
                head=(0, 0, 8),
                arm_l=(16, 20, 24, 70),
                arm_r=(26, 10, 16, 70),
            ),
            key(0.25, arm_l=(28, 10, 34, 70), arm_r=(12, 20, 10, 70)),
        ),
    ),
}
