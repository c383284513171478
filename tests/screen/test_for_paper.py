"""Pictures for paper."""

from __future__ import annotations

import numpy as np

from caller.clock import ClockTime
from caller.clock.ladder import STEPS
from caller.clock.wrong import rank
from caller.screen.for_paper import draw_plain_dial, draw_ranking
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT
from tests.reference.dial_reader import read_dial

TIME = ClockTime(4, 40)


def test_a_plain_dial_fills_its_square_on_nothing() -> None:
    surface = skia.Surface(300, 300)
    draw_plain_dial(surface.getCanvas(), TIME, size=300)
    opaque = np.asarray(surface.toarray())[..., 3] > 0
    assert not opaque[0, 0]
    assert opaque.any(axis=0).sum() > 290


def test_roman_and_handless_dials_differ_from_the_plain_one() -> None:
    pictures = []
    for time, numerals in ((TIME, "arabic"), (TIME, "roman"), (None, "arabic")):
        surface = skia.Surface(200, 200)
        draw_plain_dial(surface.getCanvas(), time, size=200, numerals=numerals)  # type: ignore[arg-type]
        pictures.append(surface.toarray().tobytes())
    assert len(set(pictures)) == 3


def test_the_ranking_shows_the_true_dial_and_a_ghost_for_every_candidate() -> None:
    candidates = rank(TIME, step=STEPS[-1], manners=["analogue"])
    width, height = 1600, 1000

    def drawn(count: int) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
        surface = skia.Surface(width, height)
        draw_ranking(
            surface.getCanvas(),
            TIME,
            candidates[:count],
            said="twenty to five",
            reasons=("The hour hand has passed four.", "The minute hand has walked forty minutes."),
            width=width,
            height=height,
        )
        return np.asarray(surface.toarray())

    six, five = drawn(6), drawn(5)
    changed = (six != five).any(axis=2)
    assert changed.any(axis=1).nonzero()[0][0] > 0.7 * height  # only the last row differs
    assert changed.any(axis=0).nonzero()[0][0] > width / 3
    assert read_dial(six[20:520, 20 : width // 3]).time == (4, 40)
    edge = np.concatenate([six[0], six[-1], six[:, 0], six[:, -1]])
    assert (edge[:, :3] == [LIGHT.background >> shift & 0xFF for shift in (0, 8, 16)]).all()
