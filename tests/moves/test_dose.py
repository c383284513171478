from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.moves import catalogue
from caller.moves.dose import Dose, Spell, dose
from caller.moves.effort import CUT_3, CUT_4, Cut


def move(slug: str, seconds: float, reps: float | None = None) -> Spell:
    return Spell(kind="move", seconds=seconds, move=slug, reps=reps)


def listen(seconds: float) -> Spell:
    return Spell(kind="listen", seconds=seconds)


def of(*spells: Spell, cut: Cut = CUT_3) -> Dose:
    return dose(spells, age_y=8, mass_kg=26, sex="girl", cut=cut)


SPELLS = st.lists(
    st.one_of(
        st.floats(0, 120).map(listen),
        st.builds(move, st.sampled_from(sorted(catalogue())), st.floats(0, 120)),
    ),
    max_size=20,
)


def test_time_is_sorted_by_intensity() -> None:
    """By hand from the table: standing 1.3, arm circles 2.8, squats 4.0, jogging 6.8."""
    day = of(listen(40), move("arm-circles", 30), move("squats", 20), move("jog-on-the-spot", 10))
    assert day.seconds == {"rest": 40, "light": 30, "moderate": 20, "vigorous": 10}
    assert (day.total_s, day.mvpa_s) == (100, 30)
    assert day.mvpa_share == pytest.approx(0.3)
    assert day.short_of_guideline_s == pytest.approx(20)
    assert day.in_words() == (
        "30% of 2 min (0.5 min) calls for moderate or vigorous movement (moderate from 3 METy); "
        "the guideline is 50%."
    )


def test_the_cut_changes_the_share_and_is_named() -> None:
    spells = (listen(60), move("march", 60))
    assert of(*spells).mvpa_share == pytest.approx(0.5)
    assert of(*spells, cut=CUT_4).mvpa_share == 0
    assert "moderate from 4 METy" in of(*spells, cut=CUT_4).in_words()


def test_a_usual_plan_of_twenty_five_minutes_falls_short_as_worked() -> None:
    """25 items of 30 s talk and thought and 30 s exercise in 30 min: 12.5 min active, 42 %, 2.5 min short."""
    items = [spell for _ in range(25) for spell in (listen(30), move("star-jumps", 30))]
    lesson = of(*items, listen(300))
    assert lesson.mvpa_s / 60 == 12.5
    assert round(lesson.mvpa_share, 2) == 0.42
    assert lesson.short_of_guideline_s / 60 == 2.5


def test_adult_values_are_counted_apart() -> None:
    assert of(listen(10), move("tree", 20), move("squats", 40)).adult_s == 30


def test_jumps_are_landings_and_running_steps_are_none() -> None:
    tempo = catalogue()["star-jumps"].tempo_hz
    counted = of(move("star-jumps", 20, reps=5), move("jog-on-the-spot", 60), move("pogo-jumps", 4, reps=3))
    assert counted.jumps == 5 * 2 + 3
    assert of(move("star-jumps", 20)).jumps == round(20 * tempo * 2)


def test_the_longest_effort_runs_over_moves_and_stops_at_a_pause() -> None:
    lesson = of(
        move("squats", 30), move("jog-on-the-spot", 30), listen(1), move("squats", 50), move("tree", 60)
    )
    assert lesson.longest_effort_s == 60


def test_warm_up_counts_before_the_first_work_and_calm_after_the_last() -> None:
    lesson = of(
        listen(30),
        move("march", 100),
        move("side-bends", 20),
        move("star-jumps", 30),
        move("march", 60),
        move("sky-reach", 30),
        listen(10),
        move("slow-breaths", 30),
    )
    assert (lesson.warm_up_s, lesson.calm_s) == (120, 60)


def test_a_lesson_that_starts_and_ends_at_full_speed_has_neither() -> None:
    lesson = of(move("star-jumps", 30), move("march", 300), move("sky-reach", 300), move("squats", 5))
    assert (lesson.warm_up_s, lesson.calm_s) == (0, 0)


def test_an_empty_lesson_has_no_dose() -> None:
    lesson = of()
    assert (lesson.total_s, lesson.mvpa_share, lesson.gross_kcal, lesson.jumps) == (0, 0, 0, 0)


@given(SPELLS, SPELLS)
def test_doses_of_two_halves_add_up(first: list[Spell], second: list[Spell]) -> None:
    a, b, both = of(*first), of(*second), of(*first, *second)
    assert both.total_s == pytest.approx(a.total_s + b.total_s)
    assert both.mvpa_s == pytest.approx(a.mvpa_s + b.mvpa_s)
    assert both.gross_kcal == pytest.approx(a.gross_kcal + b.gross_kcal)
    assert both.gross_kcal >= both.net_kcal >= 0
    assert both.longest_effort_s <= both.mvpa_s + 1e-6
    assert max(a.longest_effort_s, b.longest_effort_s) <= both.longest_effort_s + 1e-6


@given(SPELLS)
def test_the_stricter_cut_never_counts_more(spells: list[Spell]) -> None:
    assert of(*spells, cut=CUT_4).mvpa_s <= of(*spells).mvpa_s + 1e-6


@pytest.mark.parametrize(("kind", "slug"), [("move", None), ("listen", "march")])
def test_a_spell_names_a_move_exactly_when_it_is_one(kind: str, slug: str | None) -> None:
    with pytest.raises(ValueError, match=r'^A spell names a move exactly when its kind is "move"\.$'):
        Spell(kind=kind, seconds=10, move=slug)


def test_a_spell_of_negative_length_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^A spell cannot last -1 s\.$"):
        listen(-1)
