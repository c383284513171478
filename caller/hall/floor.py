"""The floor of a hall: how loud and how clear the caller is at each place, and where to put the speaker."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caller.hall import EAR_HEIGHT_M, Hall, HallSpeaker, Point, class_middle_m
from caller.hall.bands import CLASS_SPECTRUM_DB, SPEECH_SPECTRUM_DB, FloatArray, a_weighted_dba, shaped_db
from caller.hall.intelligibility import room_modulation, sti
from caller.hall.reverberation import reverberation_s, total_absorption_m2

_NEAREST_M = 0.5  # Formulas of a point source mean nothing inside the box itself.


def level_db(power_db: float, distance_m: float, directivity: float, absorption: float) -> float:
    """Return Lp = Lw + 10 lg(Q / 4πr² + 4 / A): one band, on the axis (Beranek)."""
    return float(power_db + 10.0 * np.log10(directivity / (4.0 * np.pi * distance_m**2) + 4.0 / absorption))


def critical_distance_m(directivity: float | FloatArray, absorption: float | FloatArray) -> FloatArray:
    """Return where direct and reverberant sound are equally loud: Dc = √(Q A / 16π) (Kuttruff, ch. 5)."""
    return np.asarray(np.sqrt(np.asarray(directivity) * absorption / (16.0 * np.pi)))


def directivity_towards(speaker: HallSpeaker, points_m: FloatArray) -> FloatArray:
    """Return the directivity factor of the speaker towards each point, shape (n, 3) in, (n, 7) out.

    The pattern Q ((1 + cos θ) / 2)^(Q - 1) is the simplest that has the given Q on the axis and radiates
    exactly the power of its source: its mean over the sphere is 1 for every Q.
    """
    axis = np.subtract(speaker.aim_m, speaker.at_m)
    axis = axis / np.linalg.norm(axis)
    rays = points_m - np.asarray(speaker.at_m)
    cosine = (rays @ axis) / np.maximum(np.linalg.norm(rays, axis=-1), 1e-9)
    q = np.asarray(speaker.directivity)
    facing = np.clip((1.0 + cosine[:, None]) / 2.0, 0.0, 1.0)
    return np.asarray(q * facing ** (q - 1.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechField:
    """The speaker's speech at n points: octave band levels (dB), direct (n, 7) and reverberant (7)."""

    direct_db: FloatArray
    reverberant_db: FloatArray

    @property
    def total_db(self) -> FloatArray:
        """Direct and reverberant sound together, shape (n, 7)."""
        return np.asarray(10.0 * np.log10(10.0 ** (self.direct_db / 10) + 10.0 ** (self.reverberant_db / 10)))

    @property
    def level_dba(self) -> FloatArray:
        """The A-weighted level at each point, shape (n,)."""
        return a_weighted_dba(self.total_db)


def speech_field(hall: Hall, points_m: FloatArray) -> SpeechField:
    """Return the levels of the hall's speaker at `points_m`, shape (n, 3)."""
    speaker = hall.speaker
    at_1m = shaped_db(SPEECH_SPECTRUM_DB, speaker.level_at_1m_dba)
    power = at_1m - 10.0 * np.log10(np.asarray(speaker.directivity) / (4.0 * np.pi))
    distance = np.linalg.norm(points_m - np.asarray(speaker.at_m), axis=-1)
    spread = 4.0 * np.pi * np.maximum(distance, _NEAREST_M)[:, None] ** 2
    # The tiny floor keeps the dead zone straight behind a narrow speaker a number.
    direct = power + 10.0 * np.log10(np.maximum(directivity_towards(speaker, points_m), 1e-6) / spread)
    reverberant = power + 10.0 * np.log10(4.0 / total_absorption_m2(hall))
    return SpeechField(direct_db=direct, reverberant_db=reverberant)


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorMap:
    """Values over the floor; `level_dba` and `sti` have shape (len(y_m), len(x_m)).

    `in_class` marks the places where the class stands: between the first row and the last.
    """

    x_m: FloatArray
    y_m: FloatArray
    level_dba: FloatArray
    sti: FloatArray
    in_class: NDArray[np.bool_]
    noise_dba: float


def clarity(
    hall: Hall, points_m: FloatArray, *, noise_dba: float | None = None
) -> tuple[FloatArray, FloatArray]:
    """Return the level (dBA) and the STI of the speaker's speech at points, shape (n, 3) in, (n,) out.

    The noise is the class listening, unless told; it fills the hall evenly.
    """
    noise = shaped_db(CLASS_SPECTRUM_DB, hall.noise.listening_dba if noise_dba is None else noise_dba)
    field = speech_field(hall, points_m)
    ratio = 10.0 ** ((field.direct_db - field.reverberant_db) / 10.0)
    room = room_modulation(reverberation_s(hall), direct_to_reverberant=ratio)
    return field.level_dba, sti(room, speech_db=field.total_db, noise_db=noise, masking=True)


def floor_map(hall: Hall, *, step_m: float = 1.0, noise_dba: float | None = None) -> FloorMap:
    """Return level and STI over the floor in cells of about `step_m`, at a standing child's ear."""
    x, y = _centres(hall.length_m, step_m), _centres(hall.width_m, step_m)
    grid_x, grid_y = np.meshgrid(x, y)
    points = np.stack([grid_x.ravel(), grid_y.ravel(), np.full(grid_x.size, EAR_HEIGHT_M)], axis=1)
    level, value = clarity(hall, points, noise_dba=noise_dba)
    return FloorMap(
        x_m=x,
        y_m=y,
        level_dba=level.reshape(grid_x.shape),
        sti=value.reshape(grid_x.shape),
        in_class=(grid_x >= hall.screen.first_row_m) & (grid_x <= hall.screen.last_row_m),
        noise_dba=hall.noise.listening_dba if noise_dba is None else noise_dba,
    )


def last_row_points(hall: Hall, *, places: int = 9) -> FloatArray:
    """Return places along the last row at a standing child's ear, shape (places, 3)."""
    y = (np.arange(places) + 0.5) * hall.width_m / places
    return np.stack([np.full(places, hall.screen.last_row_m), y, np.full(places, EAR_HEIGHT_M)], axis=1)


def last_row_sti(hall: Hall, *, noise_dba: float | None = None) -> float:
    """Return the STI at the worst place of the last row.

    A measured impulse response holds no class noise, so its STI is the most that the place can give.
    """
    predicted = float(clarity(hall, last_row_points(hall), noise_dba=noise_dba)[1].min())
    return predicted if hall.measured_quiet_sti is None else min(predicted, hall.measured_quiet_sti)


def _centres(length_m: float, step_m: float) -> FloatArray:
    count = max(1, round(length_m / step_m))
    return np.asarray((np.arange(count) + 0.5) * length_m / count)


# The caller's voice at the nearest child. WHO Guidelines for Community Noise (1999), table 4.1, give public
# address 85 dB LAeq,1h; 5 dB lower is our judgement for children who hear it every lesson.
VOICE_CEILING_DBA = 80.0
# Beyond 15 dB over the noise more volume adds nothing to STI. For the youngest, of six, 15 dB are not enough
# (Bradley and Sato, JASA 123(4), 2008, 2078-2086: abstract seen): only a quieter class gives them more.
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


def _judged(hall: Hall, words: str, speaker: HallSpeaker) -> Place:
    moved = dataclasses.replace(hall, speaker=speaker)
    floor = floor_map(moved)
    level = loudness(moved, floor)
    if level.most_dba < level.now_dba:
        quieter = dataclasses.replace(moved.speaker, level_at_1m_dba=level.most_dba)
        floor = floor_map(dataclasses.replace(moved, speaker=quieter))
    values = floor.sti[floor.in_class] if floor.in_class.any() else floor.sti
    return Place(words=words, at_m=speaker.at_m, mean_sti=float(values.mean()), worst_sti=float(values.min()))
