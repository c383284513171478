from __future__ import annotations

import pytest

from caller.clock import ALL_TIMES, ClockError, ClockTime, DayTime
from caller.languages import CODES, fill, language

ALL_DAY = tuple(DayTime.from_minutes(n) for n in range(1440))


def test_the_caller_speaks_its_languages_under_their_language_tags() -> None:
    assert {"en-GB", "en-US", "es", "es-US", "fr", "de"} <= set(CODES)
    assert [language(code).code for code in CODES] == list(CODES)


def test_an_unknown_language_is_refused_with_the_tags_that_are_known() -> None:
    with pytest.raises(ClockError) as caught:
        language("tlh")
    assert str(caught.value) == f"The caller has no language 'tlh'; it has {', '.join(CODES)}."


@pytest.mark.parametrize("code", CODES)
def test_a_register_chooses_the_reading(code: str) -> None:
    each, time = language(code), ClockTime(4, 40)
    assert each.phrase(time, "digital") == each.digital(time)
    assert each.phrase(time, "analogue") == each.analogue(time)
    assert each.digital(time) != each.analogue(time)


@pytest.mark.parametrize("code", CODES)
def test_no_two_times_share_a_phrase(code: str) -> None:
    each = language(code)
    for say in (each.digital, each.analogue, each.apart):
        assert len({say(time).written for time in ALL_TIMES}) == 720
        assert len({say(time).speech for time in ALL_TIMES}) == 720
    assert len({each.numeral(time) for time in ALL_TIMES}) == 720
    for say_day in (each.day_digital, each.day_part):
        assert len({say_day(time).speech for time in ALL_DAY}) == 1440


@pytest.mark.parametrize("code", CODES)
def test_speech_never_holds_a_digit_nor_a_full_stop(code: str) -> None:
    each = language(code)
    spoken = [say(time).speech for time in ALL_TIMES for say in (each.digital, each.analogue, each.apart)]
    spoken += [say(time).speech for time in ALL_DAY for say in (each.day_digital, each.day_part)]
    spoken += [each.duration(minutes).speech for minutes in range(6000)]
    assert not [text for text in spoken if "." in text or any(mark.isdigit() for mark in text)]


@pytest.mark.parametrize("code", CODES)
def test_numbers_hours_and_durations_that_cannot_be_said_are_refused(code: str) -> None:
    each = language(code)
    with pytest.raises(ClockError, match=r"^There are number words for 0 to 99, not for 100\.$"):
        each.number(100)
    with pytest.raises(ClockError, match=r"^An hour is 0 to 23, not 24\.$"):
        each.hour(24)
    for minutes in (-1, 6000):
        with pytest.raises(ClockError) as caught:
            each.duration(minutes)
        assert (
            str(caught.value) == f"A length of time is 0 minutes to under 100 hours, not {minutes} minutes."
        )


@pytest.mark.parametrize(
    ("code", "confusing"),
    [("en-GB", True), ("en-US", True), ("de", True), ("es", False), ("fr", False)],
)
def test_fifteen_and_fifty_are_confusable_where_only_the_ending_differs(code: str, confusing: bool) -> None:
    each = language(code)
    for a, b in ((13, 30), (14, 40), (15, 50)):
        assert each.confusable(ClockTime(4, a), ClockTime(4, b)) is confusing
        assert each.confusable(ClockTime(4, b), ClockTime(4, a)) is confusing
    assert not each.confusable(ClockTime(4, 15), ClockTime(5, 50))
    assert not each.confusable(ClockTime(4, 15), ClockTime(4, 40))
    assert not each.confusable(ClockTime(4, 15), ClockTime(4, 15))


@pytest.mark.parametrize("code", ["es", "fr", "de"])
def test_languages_that_do_not_spell_minutes_keep_the_plain_reading(code: str) -> None:
    each = language(code)
    assert all(each.apart(time) == each.digital(time) for time in ALL_TIMES)


@pytest.mark.parametrize("code", CODES)
def test_every_reading_tells_where_its_hour_and_its_minutes_begin(code: str) -> None:
    each = language(code)
    readings = [
        phrase for time in ALL_TIMES for phrase in (each.digital(time), each.analogue(time), each.apart(time))
    ]
    readings += [phrase for time in ALL_DAY for phrase in (each.day_digital(time), each.day_part(time))]
    for phrase in readings:
        places = [stop.at for stop in phrase.stops]
        assert places == sorted(set(places))
        assert all(at == 0 or phrase.speech[at - 1] == " " for at in places), phrase
        assert [stop.before for stop in phrase.stops] in (
            [], ["hour"], ["hour", "minutes"], ["minutes", "hour"],
        )  # fmt: skip
    # Only noon and midnight, which have names of their own, do without.
    assert sum(not phrase.stops for phrase in readings) <= 2


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("en-GB", "twenty to|five"),
        ("en-US", "quarter after|four"),
        ("es-US", "veinte para|las cinco"),
        ("es", "las cinco|menos veinte"),
        ("fr", "cinq heures|moins vingt"),
        ("de", "zwanzig vor|fünf"),
    ],
)
def test_the_hour_and_the_minutes_are_told_apart(code: str, said: str) -> None:
    phrase = language(code).analogue(ClockTime(4, 15) if "quarter" in said else ClockTime(4, 40))
    (_, second) = phrase.stops
    assert f"{phrase.speech[: second.at - 1]}|{phrase.speech[second.at :]}" == said


def test_a_filled_sentence_keeps_the_places() -> None:
    slots = {
        "a": language("en-GB").digital(ClockTime(4, 40)),
        "b": language("en-GB").analogue(ClockTime(9, 30)),
    }
    phrase = fill("From {a} to {b}.", slots)
    assert phrase.speech == "From four forty to half past nine."
    assert [(phrase.speech[stop.at :].split()[0], stop.before) for stop in phrase.stops] == [
        ("four", "hour"),
        ("forty", "minutes"),
        ("half", "minutes"),
        ("nine.", "hour"),
    ]
