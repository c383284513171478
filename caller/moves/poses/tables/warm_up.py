"""Warm-up moves."""

from __future__ import annotations

from typing import Final

from caller.moves.poses.keyframes import Animation, key
from caller.moves.poses.views import View

_FLAT = (0.06, 0.0, 0.055, 0.0)

ANIMATIONS: Final[dict[str, Animation]] = {
    "march": Animation(
        view=View.THREE_QUARTER,
        beats=2,
        tempo_hz=1.9,
        alternates=True,
        keys=(
            key(
                0.0,
                at=(-0.015, 0.0, 0.0),
                foot_l=(0.06, 0.14, 0.26, 12),
                foot_r=_FLAT,
                arm_l=(-40, 90, 12, 0),
                arm_r=(70, 90, 12, 0),
            ),
            key(0.20, foot_l=_FLAT),
            key(0.30, foot_r=_FLAT),
        ),
    ),
}
