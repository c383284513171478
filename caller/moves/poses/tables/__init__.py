"""The moves' keyframes, one table per kind."""

from __future__ import annotations

from typing import Final, Literal

from caller.moves.poses.keyframes import Animation
from caller.moves.poses.tables import balance, locomotor, seated, strength, stretch, warm_up
from caller.moves.poses.tables.stances import SEAT_HEIGHT, STANCES, TEMPO_HZ

__all__ = ["ANIMATIONS", "SEAT_HEIGHT", "STANCES", "TEMPO_HZ", "WORKING", "Works"]

Works = Literal["none", "arms", "legs", "both"]

ANIMATIONS: Final[dict[str, Animation]] = {
    **warm_up.ANIMATIONS,
    **locomotor.ANIMATIONS,
    **strength.ANIMATIONS,
    **balance.ANIMATIONS,
    **stretch.ANIMATIONS,
    **seated.ANIMATIONS,
}

_ARMS: Final = (
    "arm-circles side-bends torso-twists standing-punches kneeling-push-ups plank-hold sky-reach "
    "forward-fold side-stretch shoulder-hug slow-breaths shoulder-shakes seated-arm-circles seated-punches "
    "seated-twists seated-sky-reach seated-star-arms seated-rowing"
)
_LEGS: Final = (
    "march step-touch heel-digs knee-lifts jog-on-the-spot high-knees side-to-side-jumps one-leg-hops "
    "pogo-jumps side-steps heel-flicks scissor-steps squats forward-lunges reverse-lunges calf-raises "
    "sit-hold sumo-squats bridge one-leg-stand tree tiptoe-stand heel-to-toe-stand leg-swings knee-hug "
    "butterfly-sit seated-march seated-leg-lifts"
)
_BOTH: Final = "star-jumps pretend-rope bear-hold aeroplane star-balance"
# Where shoulders or back do the move, no limb is marked: it would draw the eye away.
_NONE: Final = "shoulder-rolls curl-ups cat-stretch"

_BY_LIMBS: Final[dict[Works, str]] = {"arms": _ARMS, "legs": _LEGS, "both": _BOTH, "none": _NONE}

WORKING: Final[dict[str, Works]] = {
    slug: works for works, slugs in _BY_LIMBS.items() for slug in slugs.split()
}
"""Which limbs do each move."""
