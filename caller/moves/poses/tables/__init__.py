"""The moves' keyframes, one table per kind."""

from __future__ import annotations

from typing import Final

from caller.moves.poses.keyframes import Animation
from caller.moves.poses.tables import warm_up

SEAT_HEIGHT: Final = 0.27

ANIMATIONS: Final[dict[str, Animation]] = {**warm_up.ANIMATIONS}
