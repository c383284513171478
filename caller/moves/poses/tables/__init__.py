"""The moves' keyframes, one table per kind."""

from __future__ import annotations

from typing import Final

from caller.moves.poses.keyframes import Animation
from caller.moves.poses.tables import balance, locomotor, seated, strength, stretch, warm_up
from caller.moves.poses.tables.stances import SEAT_HEIGHT, STANCES, TEMPO_HZ

__all__ = ["ANIMATIONS", "SEAT_HEIGHT", "STANCES", "TEMPO_HZ"]

ANIMATIONS: Final[dict[str, Animation]] = {
    **warm_up.ANIMATIONS,
    **locomotor.ANIMATIONS,
    **strength.ANIMATIONS,
    **balance.ANIMATIONS,
    **stretch.ANIMATIONS,
    **seated.ANIMATIONS,
}
