"""A picture as the last row sees it: blurred to what an eye resolves from there.

The blur is a Gaussian in linear light whose width is 0.7 of the eye's smallest angle. With that factor a
reader of letters fails where the eye chart says an eye does (own calibration with tesseract on 120 Sloan
letters of five times the smallest angle); with the eye's optics alone it would read nearly everything, and
flatter the picture.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

BLUR_PER_ANGLE: Final = 0.7
_REACH: Final = 3.0  # standard deviations after which the blur counts for nothing


def blur_px(rows: int, *, image_height_m: float, distance_m: float, acuity_arcmin: float = 2.0) -> float:
    """Return the blur's standard deviation in pixels.

    Parameters
    ----------
    rows
        Of the picture.
    image_height_m, distance_m
        How high the picture is on the wall, and from how far it is seen.
    acuity_arcmin
        The smallest angle the eye resolves, in minutes of arc; 2 is 20/40.
    """
    seen_arcmin = math.degrees(2.0 * math.atan(image_height_m / 2.0 / distance_m)) * 60.0
    return BLUR_PER_ANGLE * acuity_arcmin * rows / seen_arcmin


def as_seen(pixels: NDArray[np.uint8], sigma_px: float) -> NDArray[np.uint8]:
    """Return a picture of shape (height, width, channels), sRGB, blurred in linear light."""
    shares = pixels.astype(np.float32) / 255.0
    linear = np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)
    for axis in (0, 1):
        linear = _smeared(linear, sigma_px, axis)
    curved = 1.055 * np.maximum(linear, 0.0) ** (1 / 2.4) - 0.055
    back = np.where(linear <= 0.0031308, linear * 12.92, curved)
    return np.ascontiguousarray(np.clip(back * 255.0 + 0.5, 0, 255), dtype=np.uint8)


def _smeared(picture: NDArray[np.float32], sigma_px: float, axis: int) -> NDArray[np.float32]:
    """Blur along one axis; beyond the edge the picture goes on as it ends."""
    reach = max(1, math.ceil(_REACH * sigma_px))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / max(sigma_px, 1e-6)) ** 2)
    weights /= weights.sum()
    edges = [(reach, reach) if number == axis else (0, 0) for number in range(picture.ndim)]
    padded = np.pad(picture, edges, mode="edge")
    length = picture.shape[axis]
    out = np.zeros_like(picture)
    for start, weight in enumerate(weights):
        out += np.float32(weight) * np.take(padded, range(start, start + length), axis=axis)
    return out
