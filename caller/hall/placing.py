"""Where to put the speaker, and how loud it may and need be."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from caller.hall.grid import FloorMap, floor_map
from caller.hall.model import Hall, Point, Speaker, class_middle_m

# The caller's voice at the nearest child. WHO Guidelines for Community Noise (1999), table 4.1, give public
# address 85 dB LAeq,1h; 5 dB lower is our judgement for children who hear it every lesson.
VOICE_CEILING_DBA = 80.0
# Children of six to eight need speech 15 dB over the noise or more (Bradley and Sato, JASA 123, 2008);
# beyond 15 dB more volume adds nothing to STI.
ENOUGH_OVER_NOISE_DB = 15.0
# The smallest change of STI that is worth moving anything for; 0.03 is the just noticeable difference
# (Bradley, Reich and Norcross 1999, from memory).
NOTICEABLE_STI = 0.03

WHERE_IT_IS = "where it is"
_GAP_M = 0.5  # from the wall


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place for the speaker, and the STI it gives the class: on average, and at the worst place."""

    words: str
    at_m: Point
    mean_sti: float
    worst_sti: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Loudness:
    """The speaker's speech 1 m in front of it (dBA): as it is, what the class needs, and the safe most."""

    now_dba: float
    needed_dba: float
    most_dba: float

    @property
    def advised_dba(self) -> float:
        """What to set: what is needed, but never above the safe most."""
        return min(self.needed_dba, self.most_dba)


def loudness(hall: Hall, floor: FloorMap | None = None) -> Loudness:
    """Return how loud the speaker need be for the class's worst place, and may be for its nearest child."""
    floor = floor_map(hall) if floor is None else floor
    levels = floor.level_dba[floor.in_class] if floor.in_class.any() else floor.level_dba
    now = hall.speaker.level_at_1m_dba
    return Loudness(
        now_dba=now,
        needed_dba=now + hall.noise.listening_dba + ENOUGH_OVER_NOISE_DB - float(levels.min()),
        most_dba=now + VOICE_CEILING_DBA - float(levels.max()),
    )


def places(hall: Hall) -> list[Place]:
    """Return places for the speaker at its present height, pointing at the class, clearest first.

    Each is judged as loud as the speaker is now, or at the safe most if that is less. The worst place hears
    little but echo wherever the speaker stands, so it is the average that tells places apart.
    """
    middle = class_middle_m(hall.width_m, hall.screen)
    left, right = _GAP_M, hall.width_m - _GAP_M
    spots = {
        "to beside the screen": (_GAP_M, hall.width_m / 3.0),
        "to the corner by the screen": (_GAP_M, left),
        "to the left wall, level with the middle of the class": (middle[0], left),
        "to the right wall, level with the middle of the class": (middle[0], right),
        "to the left wall, level with the last row": (hall.screen.last_row_m, left),
        "to the right wall, level with the last row": (hall.screen.last_row_m, right),
    }
    height = hall.speaker.at_m[2]
    found = [_judged(hall, WHERE_IT_IS, hall.speaker)]
    for words, (x, y) in spots.items():
        moved = dataclasses.replace(hall.speaker, at_m=(x, y, height), aim_m=middle)
        found.append(_judged(hall, words, moved))
    return sorted(found, key=lambda place: -place.mean_sti)


def _judged(hall: Hall, words: str, speaker: Speaker) -> Place:
    moved = dataclasses.replace(hall, speaker=speaker)
    floor = floor_map(moved)
    level = loudness(moved, floor)
    if level.most_dba < level.now_dba:
        quieter = dataclasses.replace(moved.speaker, level_at_1m_dba=level.most_dba)
        floor = floor_map(dataclasses.replace(moved, speaker=quieter))
    values = floor.sti[floor.in_class] if floor.in_class.any() else floor.sti
    return Place(words=words, at_m=speaker.at_m, mean_sti=float(values.mean()), worst_sti=float(values.min()))
