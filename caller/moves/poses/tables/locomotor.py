"""Locomotor moves, done on the spot."""

from __future__ import annotations

from typing import Final

from caller.moves.poses.keyframes import Animation, Key, key
from caller.moves.poses.skeleton import View

_READY: Final = (40, 34, 92, 30)

_HOP: Final = 0.115  # of the loop


def _hops() -> tuple[Key, ...]:
    """Return half a loop: four hops on the left leg, then the weight over the right one."""
    free, lifted = (0.07, 0.16, -0.20, 85), (0.07, 0.24, -0.20, 92)
    keys = []
    for start in (0.0, _HOP, 2 * _HOP, 3 * _HOP):
        keys += [
            key(
                start,
                at=(0.04, -0.05, 0),
                hips=(0, 10, 2),
                foot_l=(0.03, 0, 0.055, 0),
                foot_r=free,
                arms=(-10, 70, 50, 20),
            ),
            key(start + 0.2 * _HOP, at=(0.04, 0, 0), foot_l=(0.03, 0, 0.055, 28)),
            key(
                start + 0.5 * _HOP,
                "rise",
                at=(0.04, 0.075, 0),
                hips=(0, 4, 2),
                foot_l=(0.03, 0.07, 0.05, 40),
                foot_r=lifted,
                arms=(40, 72, 62, 10),
            ),
            key(start + 0.8 * _HOP, "fall", at=(0.04, -0.005, 0), foot_l=(0.03, 0, 0.055, 5)),
        ]
    end = 4 * _HOP
    keys += [
        key(
            end,
            at=(0.04, -0.03, 0),
            hips=(0, 8, 0),
            foot_l=(0.03, 0, 0.055, 0),
            foot_r=(0.06, 0.05, 0.02, 20),
        ),
        key(end + 0.018, at=(0, -0.03, 0), foot_l=(0.03, 0, 0.055, 0), foot_r=(0.03, 0, 0.055, 0)),
    ]
    return tuple(keys)


ANIMATIONS: Final[dict[str, Animation]] = {
    "jog-on-the-spot": Animation(
        works="legs",
        view=View.SIDE,
        alternates=True,
        keys=(
            key(
                0.0,
                "rise",
                at=(0, 0.035, 0.01),
                hips=(0, 6, 0),
                foot_l=(0.045, 0.12, 0.17, 8),
                foot_r=(0.045, 0.12, -0.10, 62),
                arm_l=(-52, 78, 92, 0),
                arm_r=(26, 78, 100, 8),
            ),
            key(0.13, "fall", at=(0, -0.005, 0.01), foot_l=(0.045, 0, 0.06, 14)),
            key(0.22, foot_l=(0.045, 0, 0.06, 3)),
            key(0.25, at=(0, -0.035, 0.01), foot_r=(0.045, 0.19, -0.05, 62)),
            key(0.29, foot_l=(0.045, 0, 0.06, 6)),
            key(0.37, at=(0, -0.005, 0.01), foot_l=(0.045, 0, 0.06, 30)),
        ),
    ),
    "high-knees": Animation(
        works="legs",
        view=View.SIDE,
        alternates=True,
        keys=(
            key(
                0.0,
                "rise",
                at=(0, 0.03, 0),
                hips=(0, -3, 0),
                foot_l=(0.045, 0.29, 0.27, 14),
                foot_r=(0.045, 0.035, 0.04, 45),
                arm_l=(-62, 80, 85, 0),
                arm_r=(62, 80, 78, 0),
            ),
            key(0.17, "fall", at=(0, -0.005, 0), foot_l=(0.045, 0, 0.06, 18)),
            key(0.25, at=(0, -0.03, 0), foot_l=(0.045, 0, 0.06, 4), foot_r=(0.045, 0.12, 0.09, 30)),
            key(0.41, at=(0, 0.0, 0), foot_l=(0.045, 0, 0.06, 32)),
        ),
    ),
    "star-jumps": Animation(
        works="both",
        view=View.FRONT,
        keys=(
            key(0.0, at=(0, -0.05, 0), feet=(0.05, 0, 0.055, 0), arms=(8, 0, 10, 60)),
            key(0.09, at=(0, 0, 0), feet=(0.05, 0, 0.055, 22)),
            key(0.26, "rise", at=(0, 0.07, 0), feet=(0.14, 0.075, 0.055, 25)),
            key(0.42, "fall", at=(0, -0.035, 0), feet=(0.22, 0, 0.055, 0), arms=(158, 0, 8, 0)),
            key(0.50, at=(0, -0.06, 0), arms=(158, 0, 8, 0)),
            key(0.59, at=(0, -0.03, 0), feet=(0.22, 0, 0.055, 12)),
            key(0.76, "rise", at=(0, 0.07, 0), feet=(0.14, 0.075, 0.055, 25)),
            key(0.92, "fall", at=(0, -0.005, 0), feet=(0.05, 0, 0.055, 0), arms=(8, 0, 10, 60)),
        ),
    ),
    "side-to-side-jumps": Animation(
        works="legs",
        view=View.FRONT,
        alternates=True,
        keys=(
            key(
                0.0,
                at=(0.16, -0.09, -0.03),
                hips=(0, 16, 0),
                foot_l=(0.21, 0, 0.055, 0),
                foot_r=(-0.12, 0, 0.055, 0),
                arms=(38, 45, 95, 40),
            ),
            key(
                0.09,
                at=(0.15, -0.01, 0),
                hips=(0, 5, 4),
                foot_l=(0.21, 0, 0.055, 20),
                foot_r=(-0.12, 0, 0.055, 20),
            ),
            key(
                0.25,
                "rise",
                at=(0, 0.09, 0),
                hips=(0, 8, 0),
                feet=(0.045, 0.12, 0.04, 25),
                arms=(55, 25, 80, 40),
            ),
            key(
                0.41,
                "fall",
                at=(-0.15, -0.02, 0),
                hips=(0, 8, 4),
                foot_l=(-0.12, 0, 0.055, 0),
                foot_r=(0.21, 0, 0.055, 0),
            ),
        ),
    ),
    "one-leg-hops": Animation(works="legs", view=View.SIDE, alternates=True, keys=_hops()),
    "pogo-jumps": Animation(
        works="legs",
        view=View.THREE_QUARTER,
        keys=(
            key(0.0, at=(0, -0.035, 0), feet=(0.042, 0, 0.055, 0), arms=(6, 20, 22, 70)),
            key(0.16, at=(0, 0.03, 0.02), feet=(0.042, 0, 0.055, 38)),
            key(0.5, "rise", at=(0, 0.14, 0.01), feet=(0.042, 0.10, 0.055, 50), arms=(14, 10, 14, 70)),
            key(0.84, "fall", at=(0, 0.012, 0.01), feet=(0.042, 0, 0.055, 22)),
        ),
    ),
    "pretend-rope": Animation(
        works="both",
        view=View.FRONT,
        rope=True,
        keys=(
            key(0.0, at=(0, -0.03, 0), feet=(0.042, 0, 0.055, 0), arms=(22, 0, 46, 30)),
            key(0.16, at=(0, 0.01, 0.01), feet=(0.042, 0, 0.055, 25)),
            key(0.25, arms=(20, 0, 56, 66)),
            key(0.5, "rise", at=(0, 0.075, 0), feet=(0.042, 0.105, 0.04, 35), arms=(22, 0, 66, 30)),
            key(0.75, arms=(24, 0, 56, -6)),
            key(0.84, "fall", at=(0, 0.0, 0), feet=(0.042, 0, 0.055, 10)),
        ),
    ),
    "side-steps": Animation(
        works="legs",
        view=View.FRONT,
        alternates=True,
        keys=(
            key(
                0.0,
                at=(0.15, -0.10, -0.05),
                hips=(0, 22, 0),
                head=(0, -16, 0),
                foot_l=(0.25, 0, 0.055, 0),
                foot_r=(-0.05, 0, 0.055, 0),
                arms=_READY,
                knees=12,
            ),
            key(0.05, foot_r=(-0.05, 0, 0.055, 0), at=(0.15, -0.10, -0.05)),
            key(0.10, foot_r=(0.03, 0.045, 0.055, 12)),
            key(0.15, foot_r=(0.10, 0, 0.055, 0), foot_l=(0.25, 0, 0.055, 0), at=(0.075, -0.08, -0.05)),
            key(0.20, foot_l=(0.17, 0.045, 0.055, 12)),
            key(0.25, foot_l=(0.10, 0, 0.055, 0), foot_r=(0.10, 0, 0.055, 0), at=(0.0, -0.10, -0.05)),
            key(0.30, foot_r=(0.17, 0.045, 0.055, 12)),
            key(0.35, foot_r=(0.25, 0, 0.055, 0), foot_l=(0.10, 0, 0.055, 0), at=(-0.075, -0.08, -0.05)),
            key(0.40, foot_l=(0.03, 0.045, 0.055, 12)),
            key(0.45, foot_l=(-0.05, 0, 0.055, 0), at=(-0.15, -0.10, -0.05)),
        ),
    ),
    "heel-flicks": Animation(
        works="legs",
        view=View.SIDE,
        alternates=True,
        keys=(
            key(
                0.0,
                "rise",
                at=(0, 0.02, 0),
                hips=(0, 9, 0),
                foot_l=(0.045, 0.345, -0.225, 122),
                foot_r=(0.045, 0.03, 0.05, 30),
                arm_l=(22, 78, 100, 8),
                arm_r=(-48, 78, 92, 0),
            ),
            key(0.12, at=(0, -0.01, 0), foot_r=(0.045, 0, 0.055, 6)),
            key(0.25, at=(0, -0.03, 0), foot_l=(0.045, 0.14, -0.05, 62)),
            key(
                0.36, "fall", at=(0, -0.005, 0), foot_r=(0.045, 0, 0.055, 24), foot_l=(0.045, 0.06, 0.03, 36)
            ),
        ),
    ),
    "scissor-steps": Animation(
        works="legs",
        view=View.SIDE,
        alternates=True,
        keys=(
            key(
                0.0,
                at=(0, -0.06, 0),
                foot_l=(0.05, 0, 0.21, 0),
                foot_r=(0.05, 0, -0.09, 32),
                arm_l=(-55, 84, 20, 0),
                arm_r=(68, 84, 20, 0),
            ),
            key(0.12, at=(0, -0.01, 0), foot_l=(0.05, 0, 0.21, 15), foot_r=(0.05, 0, -0.09, 45)),
            key(0.25, "rise", at=(0, 0.065, 0), feet=(0.05, 0.075, 0.05, 25)),
            key(0.38, "fall", at=(0, -0.02, 0), foot_l=(0.05, 0, -0.09, 35), foot_r=(0.05, 0, 0.21, 5)),
        ),
    ),
}
