"""Halls that the tests share."""

from __future__ import annotations

import pytest

from caller.hall import DIRECTIVITY, Hall, HallScreen, HallSpeaker


@pytest.fixture
def bare_gym() -> Hall:
    """Return a gym of 24 x 12 x 6.5 m with hard walls, its speaker beside the screen."""
    return Hall(
        name="bare gym",
        length_m=24.0,
        width_m=12.0,
        height_m=6.5,
        floor=(("sports-floor", 1.0),),
        walls=(("painted-block", 1.0),),
        ceiling=(("steel-deck", 1.0),),
        people=0,
        speaker=HallSpeaker(
            at_m=(0.5, 4.0, 1.8),
            aim_m=(12.0, 6.0, 1.1),
            directivity=DIRECTIVITY["pa-box"],
            level_at_1m_dba=80.0,
        ),
        screen=HallScreen(image_height_m=1.8, last_row_m=15.0),
    )
