from __future__ import annotations

import numpy as np
import pytest

from caller.hall.keeping import with_measured
from caller.hall.reading import parse_hall
from caller.hall.response import Measurement

TIMES_S = (2.4, 2.2, 2.0, 1.8, 1.6, 1.2, 0.8)
GOOD = Measurement(rate_hz=48_000, response=np.zeros(1), decays=(), reverberation_s=TIMES_S, quiet_sti=0.4567)


@pytest.mark.parametrize(
    "text",
    [
        "",
        '# Our hall.\nlike = "gym"  # nearly\n',
        'like = "gym"\n\n[speaker]\nheight_m = 2.5  # on the shelf\n',
        'like = "gym"\n[measured]\n# in the spring\nreverberation_s = [1, 1, 1, 1, 1, 1, 1]\n[noise]\n',
    ],
)
def test_the_figures_are_kept_and_every_comment_stays(text: str) -> None:
    kept = with_measured(text, GOOD, on="2026-11-25")
    assert [line for line in text.splitlines() if "#" in line] == [
        line for line in kept.splitlines() if "#" in line
    ]
    hall = parse_hall(kept if "like" in kept else f'like = "gym"\n{kept}', "hall.toml")
    assert hall.measured_reverberation_s == TIMES_S
    assert hall.measured_quiet_sti == 0.457
    assert with_measured(kept, GOOD, on="2026-11-25") == kept


def test_the_written_table_is_plain() -> None:
    assert with_measured('like = "gym"\n', GOOD, on="2026-11-25") == (
        'like = "gym"\n\n[measured]\nreverberation_s = [2.4, 2.2, 2.0, 1.8, 1.6, 1.2, 0.8]\n'
        'quiet_sti = 0.457\non = "2026-11-25"\n'
    )
