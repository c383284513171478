"""The floor of a hall as a grid: how loud and how clear the caller is at each place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caller.hall.bands import CLASS_SPECTRUM_DB, FloatArray, shaped_db
from caller.hall.intelligibility import room_modulation, sti
from caller.hall.levels import speech_field
from caller.hall.model import EAR_HEIGHT_M, Hall
from caller.hall.reverberation import reverberation_s


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
