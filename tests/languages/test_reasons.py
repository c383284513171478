"""Reasons, clause by clause, in every language."""

from __future__ import annotations

import re

import pytest

from caller.clock.cues import GhostDial, HandPulse, HourSector, MinuteCount, ShowReading
from caller.clock.hands import hands
from caller.clock.ladder import STEPS, Step, step
from caller.clock.mixups import MIXUPS, explained_by, wrong_readings
from caller.clock.times import ALL_TIMES, ClockError, ClockTime
from caller.languages import CODES, Register, Stop, language
from caller.languages.reasons import Clause, reason, why_wrong

AT = ClockTime.parse
REGISTERS: tuple[Register, ...] = ("digital", "analogue")
# Ten seconds at 130 words a minute.
TEN_SECONDS_WORDS = 10 * 130 / 60


def words(text: str) -> int:
    """Count what stands between spaces and hyphens: "twenty-five" is two words."""
    return len([word for word in re.split(r"[\s\-–]+", text) if re.search(r"\w", word)])


def told(time: str, code: str, tag: str = "en-GB", register: Register = "digital") -> str:
    clauses = reason(AT(time), step=step(code), language=language(tag), register=register)
    return " ".join(clause.speech for clause in clauses)


@pytest.mark.parametrize("at_step", STEPS, ids=lambda each: each.code)
@pytest.mark.parametrize("tag", CODES)
def test_every_reason_is_said_in_ten_seconds_and_ends_on_the_time(tag: str, at_step: Step) -> None:
    speaker = language(tag)
    for register in REGISTERS:
        for time in ALL_TIMES:
            clauses = reason(time, step=at_step, language=speaker, register=register)
            assert len(clauses) == 3
            assert sum(words(clause.speech) for clause in clauses) <= TEN_SECONDS_WORDS
            for clause in clauses:
                assert not re.search(r"\d|[{}]", clause.speech)
                assert clause.speech.endswith(".")
                assert clause.speech[0].isupper()
                assert clause.written.endswith(".")
            phrase = speaker.phrase(time, register)
            assert clauses[-1].speech.casefold() == f"{phrase.speech}.".casefold()
            assert clauses[-1].written.casefold() == f"{phrase.written}.".casefold()
            assert clauses[-1].cue == ShowReading(time)


def reached_deg(cue: MinuteCount) -> float:
    """Where the walk of a cue ends on the dial."""
    turn = 30 * cue.fives + 6 * cue.ones
    return float((30 * cue.origin + (turn if cue.towards == "past" else -turn)) % 360)


@pytest.mark.parametrize("tag", CODES)
def test_the_picture_lights_the_passed_hour_and_walks_to_the_minute_hand(tag: str) -> None:
    for at_step in (step("quarters"), step("fives-to"), step("minutes")):
        for register in REGISTERS:
            for time in ALL_TIMES:
                first, second, _ = (
                    clause.cue
                    for clause in reason(time, step=at_step, language=language(tag), register=register)
                )
                if time.minute == 0:
                    assert (first, second) == (HandPulse("minute"), HandPulse("hour"))
                    continue
                assert first == HourSector(time.hour)
                assert isinstance(second, MinuteCount)
                assert reached_deg(second) == hands(time).minute_deg
                if second.counted:
                    minutes = time.minute if second.towards == "past" else 60 - time.minute
                    assert second.counted + 5 * second.fives + second.ones == minutes


def test_at_oclock_the_long_hand_points_straight_up() -> None:
    assert told("4:00", "o-clock") == (
        "The long hand points straight up at twelve: it is o'clock. The short hand points at four. "
        "Four o'clock."
    )


def test_quarters_and_halves_are_named_before_anything_is_counted() -> None:
    assert told("4:30", "half-past", register="analogue") == (
        "The short hand has passed four, not reached five. The long hand is half way round: half past. "
        "Half past four."
    )
    assert told("4:45", "quarters", register="analogue") == (
        "The short hand is on its way to five. The long hand points at nine: quarter to. Quarter to five."
    )
    assert told("4:15", "quarters") == (
        "The short hand has passed four, not reached five. At three, the long hand shows fifteen minutes. "
        "Four fifteen."
    )
    assert "quarter after" in told("4:15", "quarters", "en-US", "analogue")


def test_fives_are_counted_at_the_steps_of_fives() -> None:
    assert told("4:20", "fives-past", register="analogue") == (
        "The short hand has passed four. From twelve, count five, ten, fifteen, twenty. Twenty past four."
    )
    assert told("4:40", "fives-to", register="analogue") == (
        "The short hand is heading for five. Back from twelve, count five, ten, fifteen, twenty. "
        "Twenty to five."
    )


def test_a_long_count_is_taken_up_at_a_quarter() -> None:
    assert told("4:25", "fives-past", register="analogue") == (
        "The short hand has passed four. From three, count fifteen, twenty, twenty-five. "
        "Twenty-five past four."
    )
    back = reason(AT("4:35"), step=step("fives-to"), language=language("en-GB"), register="analogue")[1]
    assert back == Clause(
        written="Back from 9, count 15, 20, 25.",
        speech="Back from nine, count fifteen, twenty, twenty-five.",
        cue=MinuteCount(2, 0, "to", origin=9, counted=15),
    )
    assert told("4:40", "fives-to") == (
        "The short hand has passed four. From six to the long hand: thirty, thirty-five, forty. Four forty."
    )
    count = reason(AT("4:40"), step=step("fives-to"), language=language("en-GB"), register="digital")[1]
    assert count.cue == MinuteCount(2, 0, "past", origin=6, counted=30)
    assert "From nine, count forty-five, fifty, fifty-five." in told("4:55", "fives-to")


def test_ones_are_added_to_the_last_five() -> None:
    assert told("8:43", "minutes") == (
        "The short hand has passed eight, not reached nine. At eight it is forty, and three more. "
        "Eight forty-three."
    )
    clauses = reason(AT("8:43"), step=step("minutes"), language=language("en-GB"), register="digital")
    assert clauses[1] == Clause(
        written="At 8 it is 40, and 3 more.",
        speech="At eight it is forty, and three more.",
        cue=MinuteCount(0, 3, "past", origin=8, counted=40),
    )


def test_near_the_hour_the_short_hand_is_told_apart_from_the_numeral_beside_it() -> None:
    assert told("10:58", "near-the-hour") == (
        "The short hand has nearly reached eleven: still ten. At eleven it is fifty-five, and three more. "
        "Ten fifty-eight."
    )
    assert told("11:02", "near-the-hour", register="analogue") == (
        "The short hand has only just passed eleven. From twelve to the long hand: one, two. "
        "Two minutes past eleven."
    )


def test_twelve_is_followed_by_one() -> None:
    assert told("12:30", "half-past").startswith("The short hand has passed twelve, not reached one.")


# Reviewed sentence by sentence for gender, contraction, elision and case.
TWENTY_TO_FIVE: dict[tuple[str, Register], list[str]] = {
    ("es", "analogue"): [
        "La aguja corta va hacia el cinco.",
        "Hacia atrás contamos cinco, diez, quince, veinte.",
        "Las cinco menos veinte.",
    ],
    ("es", "digital"): [
        "La aguja corta ha pasado el cuatro.",
        "Desde el seis contamos treinta, treinta y cinco, cuarenta.",
        "Las cuatro cuarenta.",
    ],
    ("fr", "analogue"): [
        "La petite aiguille va vers le cinq.",
        "À rebours\u00a0: cinq, dix, quinze, vingt.",
        "Cinq heures moins vingt.",
    ],
    ("fr", "digital"): [
        "La petite aiguille a dépassé le quatre.",
        "Depuis le six, on compte trente, trente-cinq, quarante.",
        "Quatre heures quarante.",
    ],
    ("de", "analogue"): [
        "Der kleine Zeiger ist auf dem Weg zur Fünf.",
        "Rückwärts zählen wir fünf, zehn, fünfzehn, zwanzig.",
        "Zwanzig vor fünf.",
    ],
    ("de", "digital"): [
        "Der kleine Zeiger ist über die Vier hinaus.",
        "Ab der Sechs zählen wir dreißig, fünfunddreißig, vierzig.",
        "Vier Uhr vierzig.",
    ],
}


@pytest.mark.parametrize(("tag", "register"), TWENTY_TO_FIVE)
def test_twenty_to_five_is_told_in_each_language(tag: str, register: Register) -> None:
    assert told("4:40", "fives-to", tag, register) == " ".join(TWENTY_TO_FIVE[tag, register])


def test_german_counts_from_the_half_hour_and_names_the_coming_hour() -> None:
    assert told("4:35", "fives-to", "de", "analogue") == (
        "Der kleine Zeiger ist auf dem Weg zur Fünf. Von der Sechs bis zum großen Zeiger: fünf. "
        "Fünf nach halb fünf."
    )
    before = reason(AT("4:25"), step=step("fives-past"), language=language("de"), register="analogue")
    assert before[1].cue == MinuteCount(1, 0, "to", origin=6)
    assert before[1].speech == "Rückwärts ab der Sechs zählen wir fünf."
    assert told("4:30", "half-past", "de", "analogue") == (
        "Der kleine Zeiger ist auf dem Weg zur Fünf. Der große Zeiger ist halb herum: halb. Halb fünf."
    )


def test_french_keeps_a_no_break_space_before_its_colon_in_both_texts() -> None:
    clause = reason(AT("4:05"), step=step("fives-past"), language=language("fr"), register="digital")[1]
    assert clause.written == "Du 12 à la grande aiguille\u00a0: 5."
    assert clause.speech == "Du douze à la grande aiguille\u00a0: cinq."


@pytest.mark.parametrize("tag", CODES)
@pytest.mark.parametrize("register", REGISTERS)
def test_every_mix_up_has_its_sentence_in_every_language(tag: str, register: Register) -> None:
    speaker = language(tag)
    sentences = set()
    for each in MIXUPS:
        for time in ALL_TIMES:
            wrong = each.rule(time)
            if wrong is None:
                continue
            clause = why_wrong(wrong, time, {each.name}, language=speaker, register=register)
            assert clause.cue == GhostDial(wrong)
            assert speaker.phrase(wrong, register).speech.casefold() in clause.speech.casefold()
            assert not re.search(r"\d|[{}]", clause.speech)
            assert clause.speech[0].isupper()
            assert clause.speech.endswith(".")
            assert words(clause.speech) <= TEN_SECONDS_WORDS
            sentences.add(
                clause.speech.casefold().replace(speaker.phrase(wrong, register).speech.casefold(), "")
            )
    # Only the two swaps are told alike.
    assert len(sentences) == len(MIXUPS) - 1


def test_the_wrong_choice_is_explained_by_what_the_hands_would_have_done() -> None:
    clause = why_wrong(
        AT("8:20"), AT("4:40"), {"hands-swapped"}, language=language("en-GB"), register="analogue"
    )
    assert clause.speech == "Twenty past eight is what you get when the hands change places."
    clause = why_wrong(AT("8:20"), AT("4:40"), {"hands-swapped"}, language=language("fr"), register="digital")
    assert clause.speech == "On lit huit heures vingt quand on échange les deux aiguilles."


def test_of_several_mix_ups_the_best_documented_of_this_wording_is_told() -> None:
    true, wrong = AT("7:40"), AT("8:20")
    assert explained_by(true, wrong) == {"past-for-to"}
    both = {"past-for-to", "hands-swapped", "zero-moved"}
    told_in = {
        register: why_wrong(
            wrong, true, both - {"hands-swapped"}, language=language("en-GB"), register=register
        )
        for register in REGISTERS
    }
    assert told_in["analogue"].speech.endswith("past and to change places.")
    assert told_in["digital"].speech.endswith("a zero is in the wrong place.")
    assert why_wrong(wrong, true, both, language=language("en-GB"), register="digital").speech.endswith(
        "the hands change places."
    )


def test_a_near_miss_only_shows_its_dial() -> None:
    clause = why_wrong(AT("1:00"), AT("12:00"), (), language=language("en-GB"), register="digital")
    assert clause == Clause(
        written="One o'clock would look like this.",
        speech="One o'clock would look like this.",
        cue=GhostDial(AT("1:00")),
        stops=(Stop(0, "hour"),),
    )


def test_the_right_reading_is_not_explained_away() -> None:
    with pytest.raises(ClockError) as caught:
        why_wrong(AT("4:40"), AT("4:40"), (), language=language("en-GB"), register="digital")
    assert str(caught.value) == "4:40 is the right reading, so there is nothing wrong to explain."


def test_the_sets_of_rules_that_lessons_meet_can_all_be_told() -> None:
    for time in ALL_TIMES[::13]:
        for wrong, mixups in wrong_readings(time).items():
            assert why_wrong(wrong, time, mixups, language=language("de"), register="analogue").speech


@pytest.mark.parametrize(
    ("wrong", "code", "register", "says"),
    [
        ("3:35", "en-GB", "digital", "one five too few"),
        ("3:35", "en-GB", "analogue", "one five too many"),  # twenty-five to four: counted back too far
        ("3:45", "en-GB", "analogue", "one five too few"),
        ("3:35", "de", "analogue", "einen Fünfer zu viel"),
    ],
)
def test_a_miscount_is_told_in_the_direction_in_which_it_was_counted(
    wrong: str, code: str, register: Register, says: str
) -> None:
    time, other = ClockTime(3, 40), ClockTime.parse(wrong)
    clause = why_wrong(other, time, explained_by(time, other), language=language(code), register=register)
    assert says in clause.written
