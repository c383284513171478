from __future__ import annotations

import pytest

from caller.clock import ClockTime
from caller.lesson import Example, Lesson, Opening, Practice, Round
from caller.runsheet import RunSheet
from caller.runsheet.forms import as_table, clock
from caller.runsheet.sequence import make_run_sheet


def _sheet() -> RunSheet:
    return make_run_sheet(
        Lesson(
            title="Clocks",
            class_name="Terns",
            opening=Opening(safety=False, warm_up_seconds=0),
            worked_example=Example(skip=True),
            practice=Practice(skip=True),
            rounds=(
                Round(
                    time=ClockTime(4, 40), wrong=(ClockTime(8, 20),), moves=("march", "squats"), answer="left"
                ),
            ),
        )
    )


def test_the_table_has_a_row_for_every_call_with_its_start_and_words() -> None:
    sheet = _sheet()
    starts = [10.0 * n for n in range(len(sheet.calls))]
    lines = as_table(sheet, [*starts, 125.4]).splitlines()
    assert lines[0] == "Clocks, Terns"
    assert lines[1].split() == ["Start", "No.", "Call", "Round", "Words"]
    assert lines[2].startswith(" 0:00    1  welcome   opening  Hello, Terns! Today: Clocks. Today we read")
    (choices,) = [n for n, line in enumerate(lines) if " choices " in line]
    words = " ".join(line.strip() for line in lines[choices : choices + 4])
    assert "On the left: twenty to five. March on the spot." in words
    assert "[left: 4:40 march | right: 8:20 squats]" in words
    assert any("[25 s to move]" in line for line in lines)
    assert lines[-1] == " 2:05  end"
    assert max(map(len, lines)) <= 110


def test_starts_must_fit_the_calls() -> None:
    with pytest.raises(ValueError, match=r"12 calls need as many starts, not 2\."):
        as_table(_sheet(), [0.0, 1.0])


@pytest.mark.parametrize(
    ("seconds", "shown"), [(0.0, "0:00"), (59.6, "1:00"), (247.2, "4:07"), (3661.0, "61:01")]
)
def test_lengths_are_shown_in_minutes_and_seconds(seconds: float, shown: str) -> None:
    assert clock(seconds) == shown
