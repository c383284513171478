from __future__ import annotations

from pathlib import Path

import pytest

from caller.clock import ClockTime
from caller.errors import NotFoundError
from caller.hall.adapt import DEFAULT_DELIVERY, delivery
from caller.hall.hallfile import preset
from caller.lesson import Lesson, Round
from caller.planning.staging import Stage, stage_of

LESSON = Lesson(  # two readings that sound alike
    rounds=(Round(time=ClockTime(4, 15), wrong=(ClockTime(4, 50),)),), step="fives-to", register="digital"
)


def test_without_a_hall_the_stage_is_a_middling_one() -> None:
    assert stage_of("", Path()) == Stage() == Stage(delivery=DEFAULT_DELIVERY)


def test_a_hall_file_beside_the_lesson_decides_how_it_is_called(tmp_path: Path) -> None:
    (tmp_path / "our-hall.toml").write_text(
        'like = "old-gym"\n[screen]\ndiagonal_inches = 55\n', encoding="utf-8"
    )
    stage = stage_of("our-hall.toml", tmp_path)
    assert stage.hall is not None
    assert stage.delivery == delivery(stage.hall)
    run_sheet = stage.run_sheet(LESSON)
    assert run_sheet.voice.rate_wpm == stage.delivery.rate_wpm < DEFAULT_DELIVERY.rate_wpm
    gaps = {gap.seconds for call in run_sheet.calls for line in call.lines for gap in line.gaps}
    assert gaps == {stage.delivery.gap_before_minutes_s}
    assert min(gaps) > DEFAULT_DELIVERY.gap_before_minutes_s
    spoken = " ".join(line.speech for call in run_sheet.calls for line in call.lines)
    assert "four, one five" in spoken


def test_what_the_last_row_cannot_see_is_not_offered(tmp_path: Path) -> None:
    stage = stage_of("gym", tmp_path)
    assert stage.hall == preset("gym")
    near = "[screen]\nimage_height_m = 0.4\nlast_row_m = 20.0\n"
    (tmp_path / "far.toml").write_text(f'like = "gym"\n{near}', encoding="utf-8")
    assert stage_of("far.toml", tmp_path).minimum_difference_deg > stage.minimum_difference_deg


def test_a_hall_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError) as caught:
        stage_of("gim", tmp_path)
    assert str(caught.value).startswith('There is no hall file and no ready-made hall called "gim".')
