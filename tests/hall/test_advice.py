from __future__ import annotations

import dataclasses
import json

import pytest

from caller.hall.advice import HallReport, echo_limit_s, report
from caller.hall.hallfile import parse_hall, preset, preset_names


def texts(found: HallReport, topic: str) -> list[str]:
    return [each.text for each in found.advice if each.topic == topic]


def test_the_gyms_page_of_advice_is_plain_and_whole() -> None:
    found = report(preset("gym"))
    assert [f"{each.topic}: {each.text}" for each in found.advice] == [
        (
            "hearing: While the class listens, the back row hears about 7 words in 10 (STI 0.38, poor);"
            " that is for grown-ups and a human voice: children catch fewer, and fewer still from a voice"
            " that is made."
        ),
        "class: Hush the class first: in silence the back row hears about 8 words in 10 (STI 0.44).",
        (
            "class: Over a moving class the back row follows little (STI 0.13): let the caller wait until"
            " the feet are still."
        ),
        (
            "speaker: Leave the speaker where it is, at ear height or above and pointing at the class."
            " Straight in front of it, its own sound outweighs the echo only within 3.6 m."
        ),
        (
            "loudness: Set the voice to about 84 dB(A), measured 1 m in front of the speaker: 15 dB over"
            " the listening class at the worst place. For six-year-olds that is not enough: hush them."
        ),
        "loudness: More volume hardly helps: 10 dB more would change STI from 0.38 to 0.42.",
        (
            "loudness: Keep the voice under 80 dB(A) and the tones under 85 dB(A) at the nearest child."
            " The World Health Organization gives 85 dB LAeq,1h for public address (1999). Local rules,"
            " the school's policy and qualified staff come first."
        ),
        (
            "caller: The caller keeps a pace of 115 words a minute here (of usual length, stops counted in),"
            " pauses 0.6 s before the hour and the minutes and 0.9 s between sentences, and says minutes"
            " digit by digit where two choices sound alike, as fifteen and fifty do."
        ),
        "caller: Every word is on the screen too, large enough to be read from 15 m away.",
        (
            "picture: From the last row, 15 m away, a child with 6/12 sight (20/40) can tell single minutes"
            " apart on this dial."
        ),
        (
            "picture: Where the dial is drawn smaller, its numerals can be read to 11 m with three choices"
            " and 9 m with two dials."
        ),
        (
            "room: The echo lasts 2.2 s; the guide for new school sports halls of this size in England"
            " (BB93) asks for 1.5 s or less. Absorbing panels would help more than any speaker."
        ),
        (
            "honesty: The echo was estimated from the hall's walls, the rest is reckoned. Listeners in the"
            " hall decide: stand in the last row, play a call, and ask a child what it said."
        ),
    ]


@pytest.mark.parametrize("name", preset_names())
def test_every_report_can_be_written_as_json_and_always_names_safety_and_the_listeners(name: str) -> None:
    found = report(preset(name))
    assert json.loads(json.dumps(dataclasses.asdict(found)))["name"] == found.name
    assert any("qualified staff come first" in text for text in texts(found, "loudness"))
    assert any("Listeners in the hall decide" in text for text in texts(found, "honesty"))
    assert 0 <= found.words_in_ten <= 10
    assert found.sti_working_class <= found.sti <= found.sti_silent_class


def test_a_class_too_loud_to_speak_over_safely_is_to_be_hushed() -> None:
    hall = parse_hall('like = "gym"\n[noise]\nlistening_dba = 72\n', "hall.toml")
    assert texts(report(hall), "loudness")[0] == (
        "Set the voice to no more than 87 dB(A), measured 1 m in front of the speaker. The worst place"
        " needs more than is safe for the nearest child, so hush the class, or stand closer."
    )


def test_a_misplaced_speaker_is_moved_by_name() -> None:
    far = "[speaker]\nfrom_screen_wall_m = 23\nfrom_left_wall_m = 11.5\n"
    (text,) = texts(report(parse_hall(f'like = "treated-gym"\n{far}', "hall.toml")), "speaker")
    assert text == (
        "Move the speaker to the left wall, level with the middle of the class, pointing at the middle of"
        " the class: the average place would have STI 0.56 instead of 0.50, the worst 0.49. Straight in"
        " front of it, its own sound outweighs the echo only within 5.8 m."
    )


def test_a_laptop_in_a_gym_needs_a_larger_picture() -> None:
    hall = parse_hall('like = "gym"\n[screen]\ndiagonal_inches = 15.6\n', "hall.toml")
    assert texts(report(hall), "picture") == [
        "From the last row, 15 m away, a child with 6/12 sight (20/40) can tell quarters apart on this dial.",
        "The numerals can be read only to 2 m: make the picture 1.6 m high, or bring the last row closer.",
    ]


def test_a_soft_ceiling_asks_for_a_measurement_until_there_is_one() -> None:
    hall = preset("treated-gym")
    assert any("measure this one" in text for text in texts(report(hall), "room"))
    measured = dataclasses.replace(hall, measured_reverberation_s=(1.6, 1.4, 1.3, 1.3, 1.2, 1.1, 0.8))
    found = report(measured)
    assert not any("measure this one" in text for text in texts(found, "room"))
    assert texts(found, "honesty")[0].startswith("The echo was measured in the empty hall")
    empty = report(dataclasses.replace(measured, people=0))
    assert empty.mid_reverberation_s == pytest.approx(1.267, abs=0.001)
    assert found.mid_reverberation_s < 1.267


@pytest.mark.parametrize(
    ("floor_m2", "limit_s"), [(200, 1.5), (280, 1.5), (405, 1.75), (530, 2.0), (900, 2.0)]
)
def test_the_sports_hall_limit_grows_with_the_floor(floor_m2: float, limit_s: float) -> None:
    # BB93 (2015) table 6, from memory; the headline of 1.5 s was found.
    gym = dataclasses.replace(preset("gym"), length_m=floor_m2 / 10.0, width_m=10.0)
    found_s, kind = echo_limit_s(gym)
    assert found_s == pytest.approx(limit_s)
    assert kind == "school sports halls of this size"


@pytest.mark.parametrize(
    ("name", "limit_s", "kind"), [("classroom", 0.6, "classrooms"), ("small-hall", 1.2, "school halls")]
)
def test_a_room_is_held_against_the_limit_of_its_own_kind(name: str, limit_s: float, kind: str) -> None:
    """BB93 (2015), from memory; 1.2 s for school halls was found."""
    found_s, told = echo_limit_s(preset(name))
    assert found_s == limit_s
    assert told.endswith(kind)
    echoing = dataclasses.replace(preset(name), measured_reverberation_s=(2.0,) * 7)
    assert f"for new {told} in England (BB93) asks for {limit_s:.1f} s" in texts(report(echoing), "room")[0]


def test_a_hall_measured_empty_is_told_with_the_class_in_it() -> None:
    hall = dataclasses.replace(preset("gym"), measured_reverberation_s=(2.4, 2.2, 2.0, 1.9, 1.7, 1.3, 0.9))
    found = report(hall)
    assert found.mid_reverberation_s < (2.0 + 1.9 + 1.7) / 3
    assert texts(found, "honesty")[0].startswith(
        "The echo was measured in the empty hall and reckoned with 28 people in it, the rest is reckoned."
    )
