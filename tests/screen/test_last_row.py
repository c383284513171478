"""What the last row sees."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from caller.screen.last_row import as_seen, blur_px


def test_the_blur_follows_distance_size_and_eye() -> None:
    # A picture 1.8 m high with 1080 rows: 2.62 pixels to an arc minute at 15 m.
    near = blur_px(1080, image_height_m=1.8, distance_m=15.0)
    assert near / 0.7 / 2.0 == pytest.approx(2.62, abs=0.01)
    assert blur_px(1080, image_height_m=1.8, distance_m=15.0, acuity_arcmin=3.0) == pytest.approx(1.5 * near)
    assert blur_px(1080, image_height_m=1.8, distance_m=30.0) == pytest.approx(2 * near, rel=0.01)
    assert blur_px(2160, image_height_m=1.8, distance_m=15.0) == pytest.approx(2 * near)


def test_it_is_a_gaussian_in_linear_light() -> None:
    """Held against scipy's filter, with the transfer curve of IEC 61966-2-1 written out here."""
    rng = np.random.default_rng(4)
    picture = rng.integers(0, 256, (40, 52, 3), dtype=np.uint8)
    share = picture / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    blurred = gaussian_filter(linear, (2.5, 2.5, 0.0), mode="nearest", truncate=3.2)
    back = np.where(blurred <= 0.0031308, 12.92 * blurred, 1.055 * blurred ** (1 / 2.4) - 0.055) * 255
    assert np.abs(as_seen(picture, 2.5) - back).max() < 1.5


def test_a_plain_picture_stays_as_it_is() -> None:
    plain = np.full((30, 30, 4), 200, np.uint8)
    assert (as_seen(plain, 4.0) == plain).all()
