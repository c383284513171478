from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.errors import NotFoundError
from caller.hall import DIRECTIVITY
from caller.hall.adapt import delivery
from caller.hall.floor import last_row_sti
from caller.hall.hallfile import find_hall, parse_hall, preset, preset_names, read_hall
from caller.hall.reverberation import mid_reverberation_s, reverberation_s
from caller.scripts.source import ScriptProblems

WHOLE = """\
name = "Lantern Bay School hall"
length_m = 18
width_m = 10.5
height_m = 5
people = 25
floor = "wood-floor"
walls = { brick = 0.8, glass = 0.2 }
ceiling = "plasterboard"
temperature_c = 18
humidity_percent = 40

[speaker]
kind = "column"
level_at_1m_dba = 83
from_screen_wall_m = 1
from_left_wall_m = 2
height_m = 2.2

[screen]
diagonal_inches = 86
first_row_m = 3
last_row_m = 13

[noise]
background_dba = 41
listening_dba = 58
working_dba = 74

[measured]
reverberation_s = [2.4, 2.2, 2.0, 1.9, 1.7, 1.3, 0.9]
quiet_sti = 0.47
on = "2026-11-02"
"""


def problems(text: str) -> str:
    with pytest.raises(ScriptProblems) as caught:
        parse_hall(text, "hall.toml")
    return str(caught.value)


def test_everything_in_a_hall_file_reaches_the_hall() -> None:
    hall = parse_hall(WHOLE, "hall.toml")
    assert (hall.name, hall.length_m, hall.width_m, hall.height_m) == ("Lantern Bay School hall", 18, 10.5, 5)
    coverings = [dict(covering) for _, _, covering in hall.surfaces]
    assert coverings == [{"wood-floor": 1.0}, {"brick": 0.8, "glass": 0.2}, {"plasterboard": 1.0}]
    assert (hall.people, hall.temperature_c, hall.humidity_percent) == (25, 18, 40)
    assert list(hall.speaker.at_m) == [1, 2, 2.2]
    assert list(hall.speaker.aim_m) == [8, 5.25, 1.1]
    assert (hall.speaker.directivity, hall.speaker.level_at_1m_dba) == (DIRECTIVITY["column"], 83)
    assert hall.screen.image_height_m == pytest.approx(1.071, abs=0.001)  # an 86-inch 16:9 screen
    assert (hall.screen.first_row_m, hall.screen.last_row_m) == (3, 13)
    assert (hall.noise.background_dba, hall.noise.listening_dba, hall.noise.working_dba) == (41, 58, 74)
    assert hall.measured_reverberation_s == (2.4, 2.2, 2.0, 1.9, 1.7, 1.3, 0.9)
    assert hall.measured_quiet_sti == 0.47


def test_three_sides_are_enough() -> None:
    hall = parse_hall("length_m = 20\nwidth_m = 10\nheight_m = 6\n", "hall.toml")
    assert hall.name == "hall"
    assert hall.screen.last_row_m == 15
    assert hall.people == 28


def test_a_hall_like_a_ready_made_one_changes_only_what_is_written() -> None:
    gym = preset("gym")
    hall = parse_hall('like = "gym"\nheight_m = 8\n[speaker]\nlevel_at_1m_dba = 75\n', "hall.toml")
    assert (hall.height_m, hall.speaker.level_at_1m_dba) == (8, 75)
    assert (hall.length_m, hall.walls, hall.screen) == (gym.length_m, gym.walls, gym.screen)
    assert hall.speaker.directivity == gym.speaker.directivity


def test_a_shorter_hall_like_a_ready_made_one_gets_rows_that_fit() -> None:
    screen = parse_hall('like = "gym"\nlength_m = 10\n', "hall.toml").screen
    assert (screen.first_row_m, screen.last_row_m) == (3, 7.5)


def test_a_diagonal_replaces_the_ready_made_halls_picture() -> None:
    hall = parse_hall('like = "gym"\n[screen]\ndiagonal_inches = 55\n', "hall.toml")
    assert hall.screen.image_height_m == pytest.approx(0.685, abs=0.0005)  # a 55-inch 16:9 screen


@pytest.mark.parametrize("name", preset_names())
def test_every_ready_made_hall_can_be_read_and_reckoned_with(name: str) -> None:
    hall = preset(name)
    assert hall.name == name.replace("-", " ")
    assert (
        0.3 < mid_reverberation_s(reverberation_s(hall)) < 5.5
    )  # 20 measured halls: 1.09 to 5.38 s (Al-Arja 2020)
    assert 0.05 < last_row_sti(hall) < 0.9


def test_every_problem_of_a_file_is_told_at_once_with_its_place_and_mending() -> None:
    text = 'length_m = 3\nwidth_m = "x"\nheigt_m = 4\n[speaker]\nkind = "pa-bx"\n'
    assert problems(text) == (
        "hall.toml, line 1, column 1: height_m is missing."
        ' Measure it and write height_m = 6, or begin with like = "gym".\n'
        'hall.toml, line 2, column 11: width_m: this needs a number, and has "x".'
        " Write a number like 2, without quotes.\n"
        "hall.toml, line 3, column 1: heigt_m: there is no such key. Did you mean height_m?\n"
        'hall.toml, line 5, column 8: speaker, kind: there is no speaker called "pa-bx". Did you mean pa-box?'
    )


MISTAKES = {
    'like = "gim"': ('line 1, column 8: like: there is no ready-made hall called "gim". Did you mean gym?'),
    'like = "gym"\nwalls = { brick = 0.5, glas = 0.5 }': (
        'line 2, column 31: walls, glas: there is no material called "glas". Did you mean glass?'
    ),
    'like = "gym"\nwalls = { brick = 0.5, glass = 0.2 }': (
        "line 2, column 9: walls: the shares add up to 0.7. Make them add up to 1."
    ),
    'like = "gym"\n[screen]\nlast_row_m = 30': (
        "line 3, column 14: screen, last_row_m: 30 is too much: the hall is only 24 m long. Write at most 24."
    ),
    'like = "gym"\n[screen]\nfirst_row_m = 16': (
        "line 3, column 15: screen, first_row_m: 16 is too much: the last row is at 15 m. Write at most 15."
    ),
    'like = "gym"\n[screen]\nimage_height_m = 1.2\ndiagonal_inches = 55': (
        "line 4, column 1: screen, diagonal_inches: the picture's size is here twice."
        " Keep this or image_height_m."
    ),
    'like = "gym"\n[speaker]\nfrom_left_wall_m = 13': (
        "line 3, column 20: speaker, from_left_wall_m: 13 is too much: that is outside the hall, which ends"
        " at 12 m. Write at most 12."
    ),
    'like = "gym"\n[noise]\nlistening_dba = 80\nworking_dba = 75': (
        "line 3, column 17: noise, listening_dba: 80 is too much: the class at work is 75 dB(A), and"
        " listening cannot be louder. Write at most 75."
    ),
    'like = "gym"\n[noise]\nbackground_dba = 66\nlistening_dba = 60': (
        "line 3, column 18: noise, background_dba: 66 is too much: the class listening is 60 dB(A), and the"
        " hall empty cannot be louder. Write at most 60."
    ),
    'like = "gym"\n[measured]\nreverberation_s = [1.0, 2.0]': (
        "line 3, column 19: measured, reverberation_s: this has 2 times."
        " Write seven, for 125, 250, 500, 1000, 2000, 4000 and 8000 Hz."
    ),
    'like = "gym"\npeople = 2000': (
        "line 2, column 10: people: 2000 is outside what this may be. Choose from 0 to 500 people."
    ),
}


@pytest.mark.parametrize("text", MISTAKES)
def test_a_mistake_gets_one_sentence(text: str) -> None:
    assert problems(text) == f"hall.toml, {MISTAKES[text]}"


def test_a_louder_empty_hall_lifts_the_levels_that_the_file_leaves_open() -> None:
    hall = parse_hall('like = "old-gym"\n[noise]\nbackground_dba = 66\n', "hall.toml")
    assert (hall.noise.listening_dba, hall.noise.working_dba) == (66, 75)


def test_a_hall_is_found_by_file_beside_the_class_or_by_name(tmp_path: Path) -> None:
    (tmp_path / "bay.toml").write_text(WHOLE, encoding="utf-8")
    assert find_hall("bay.toml", folder=tmp_path).name == "Lantern Bay School hall"
    assert read_hall(tmp_path / "bay.toml").people == 25
    assert find_hall("sports-hall", folder=tmp_path).name == "sports hall"
    with pytest.raises(NotFoundError) as caught:
        find_hall("sport-hall", folder=tmp_path)
    assert str(caught.value) == (
        'There is no hall file and no ready-made hall called "sport-hall". Did you mean sports-hall?'
    )
    with pytest.raises(NotFoundError) as caught:
        preset("gim")
    assert str(caught.value) == 'There is no ready-made hall called "gim". Did you mean gym?'
    with pytest.raises(NotFoundError):
        find_hall("missing.toml", folder=tmp_path)


SIDES = st.floats(2.5, 60.0)


@given(
    length=SIDES,
    width=SIDES,
    height=st.floats(2.0, 12.0),
    level=st.floats(40.0, 110.0),
    people=st.integers(0, 500),
)
def test_any_hall_within_the_limits_has_finite_acoustics(
    length: float, width: float, height: float, level: float, people: int
) -> None:
    text = f"length_m = {length}\nwidth_m = {width}\nheight_m = {height}\npeople = {people}\n"
    hall = parse_hall(text + f"[speaker]\nlevel_at_1m_dba = {level}\nheight_m = 1.5\n", "hall.toml")
    assert 0.0 <= last_row_sti(hall) <= 1.0
    assert (reverberation_s(hall) > 0.0).all()


def test_a_hall_has_one_loudspeaker_unless_its_file_says_two() -> None:
    assert {preset(name).loudspeakers for name in preset_names()} == {"one"}
    assert not delivery(preset("gym")).two_loudspeakers
    hall = parse_hall('like = "gym"\nloudspeakers = "two"\n', "hall.toml")
    assert delivery(hall) == replace(delivery(preset("gym")), two_loudspeakers=True)
    with pytest.raises(ScriptProblems, match=r"loudspeakers: .*two"):
        parse_hall('like = "gym"\nloudspeakers = "three"\n', "hall.toml")
