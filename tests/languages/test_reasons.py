"""Reasons, clause by clause, in every language."""

from __future__ import annotations

import re

import pytest

from caller.clock import ALL_TIMES, ClockError, ClockTime, hands
from caller.clock.ladder import STEPS, Step, step
from caller.clock.mixups import told_of, wrong_readings
from caller.clock.said_and_shown import GhostDial, HandPulse, HourSector, MinuteCount, ShowReading
from caller.languages import CODES, Register, Stop, language
from caller.languages.reasons import Clause, reason, why_wrong

AT = ClockTime.parse
REGISTERS: tuple[Register, ...] = ("digital", "analogue")
# Ten seconds at 130 words a minute.
TEN_SECONDS_WORDS = 10 * 130 / 60
# What a child of six follows, heard once in an echo (common practice, no source).
MOST_WORDS = 12


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
                assert len(clause.speech.split()) <= MOST_WORDS
            phrase = speaker.phrase(time, register)
            assert clauses[-1].speech.casefold() == f"{phrase.speech}.".casefold()
            assert clauses[-1].written.casefold() == f"{phrase.written}.".casefold()


@pytest.mark.parametrize("tag", CODES)
def test_the_picture_lights_the_hour_that_is_named_and_walks_to_the_minute_hand(tag: str) -> None:
    speaker = language(tag)
    for at_step in (step("quarters"), step("fives-to"), step("minutes")):
        for register in REGISTERS:
            for time in ALL_TIMES:
                clauses = reason(time, step=at_step, language=speaker, register=register)
                first, second, last = (clause.cue for clause in clauses)
                assert last == ShowReading(time, speaker.named_hour(time, register))
                if time.minute == 0:
                    assert (first, second) == (HandPulse("minute"), HandPulse("hour"))
                    continue
                assert first == HourSector(time.hour, lit=speaker.named_hour(time, register))
                assert re.search(rf"\b{first.lit}\b", clauses[0].written)
                assert isinstance(second, MinuteCount)
                assert 6.0 * second.end == hands(time).minute_deg
                assert second.counted == () or second.counted[-1][0] == time.minute


def test_at_oclock_the_long_hand_points_straight_up() -> None:
    assert told("4:00", "o-clock") == (
        "The long hand points straight up at twelve. The short hand points at four. Four o'clock."
    )


def test_quarters_and_halves_are_named_before_anything_is_counted() -> None:
    assert told("4:30", "half-past", register="analogue") == (
        "The short hand has passed four. The long hand is halfway round: half past. Half past four."
    )
    assert told("4:45", "quarters", register="analogue") == (
        "The short hand is on its way to five. The long hand points at nine: quarter to. Quarter to five."
    )
    assert told("4:15", "quarters") == (
        "The short hand has passed four but has not reached five. At three, the long hand shows fifteen "
        "minutes. Four fifteen."
    )
    assert "quarter after" in told("4:15", "quarters", "en-US", "analogue")
    named = reason(AT("4:45"), step=step("quarters"), language=language("en-GB"), register="analogue")
    assert named[1].cue == MinuteCount("to", 45)


def test_fives_are_counted_at_the_steps_of_fives() -> None:
    assert told("4:10", "fives-past", register="analogue") == (
        "The short hand has passed four but has not reached five. From twelve, count five, ten. "
        "Ten past four."
    )
    assert told("4:50", "fives-to", register="analogue") == (
        "The short hand is on its way to five. Back from twelve, count five, ten. Ten to five."
    )


def test_a_long_count_begins_with_what_the_quarter_stands_for() -> None:
    assert told("4:25", "fives-past", register="analogue") == (
        "The short hand has passed four. At three it is fifteen, then twenty, twenty-five. "
        "Twenty-five past four."
    )
    back = reason(AT("4:35"), step=step("fives-to"), language=language("en-GB"), register="analogue")[1]
    assert back == Clause(
        written="Back to 9 it is 15, then 20, 25.",
        speech="Back to nine it is fifteen, then twenty, twenty-five.",
        cue=MinuteCount("to", 35, ((45, 15), (40, 20), (35, 25))),
    )
    assert told("4:40", "fives-to") == (
        "The short hand has passed four. At six it is thirty, then thirty-five, forty. Four forty."
    )
    count = reason(AT("4:40"), step=step("fives-to"), language=language("en-GB"), register="digital")[1]
    assert count.cue == MinuteCount("past", 40, ((30, 30), (35, 35), (40, 40)))


def test_ones_are_added_to_the_last_five() -> None:
    assert told("8:43", "minutes") == (
        "The short hand has passed eight. At eight it is forty and three more. Eight forty-three."
    )
    clauses = reason(AT("8:43"), step=step("minutes"), language=language("en-GB"), register="digital")
    assert clauses[1] == Clause(
        written="At 8 it is 40 and 3 more.",
        speech="At eight it is forty and three more.",
        cue=MinuteCount("past", 43, ((40, 40), (43, 3))),
    )
    back = reason(AT("8:43"), step=step("minutes"), language=language("en-GB"), register="analogue")[1]
    assert (back.written, back.cue) == (
        "Back to 9: 15 and 2 more.",
        MinuteCount("to", 43, ((45, 15), (43, 2))),
    )


@pytest.mark.parametrize("tag", CODES)
def test_nearly_at_the_next_hour_the_reason_says_which_hour_it_still_is(tag: str) -> None:
    for minute in range(55, 60):
        first = reason(
            ClockTime(1, minute), step=step("near-the-hour"), language=language(tag), register="digital"
        )[0]
        assert re.findall(r"\d+", first.written) == ["2", "1"]
        assert first.cue == HourSector(1, lit=1)


def test_near_the_hour_the_short_hand_is_told_apart_from_the_numeral_beside_it() -> None:
    assert told("10:58", "near-the-hour") == (
        "The short hand has not reached eleven: still ten. At eleven it is fifty-five and three more. "
        "Ten fifty-eight."
    )
    assert told("11:02", "near-the-hour", register="analogue") == (
        "The short hand has just passed eleven. From twelve, count one, two. Two minutes past eleven."
    )


def test_twelve_is_followed_by_one() -> None:
    assert told("12:30", "half-past").startswith("The short hand has passed twelve but has not reached one.")


# Reviewed sentence by sentence for gender, contraction, elision and case.
TWENTY_TO_FIVE: dict[tuple[str, Register], list[str]] = {
    ("es", "analogue"): [
        "La aguja corta va hacia el cinco.",
        "Hacia atrás en el nueve son quince, luego veinte.",
        "Las cinco menos veinte.",
    ],
    ("es", "digital"): [
        "La aguja corta ha pasado el cuatro.",
        "En el seis son treinta, luego treinta y cinco, cuarenta.",
        "Las cuatro cuarenta.",
    ],
    ("fr", "analogue"): [
        "La petite aiguille va vers le cinq.",
        "En reculant jusqu'au neuf, c'est quinze, puis vingt.",
        "Cinq heures moins vingt.",
    ],
    ("fr", "digital"): [
        "La petite aiguille a dépassé le quatre.",
        "Au six, c'est trente, puis trente-cinq, quarante.",
        "Quatre heures quarante.",
    ],
    ("de", "analogue"): [
        "Der kleine Zeiger ist auf dem Weg zur Fünf.",
        "Rückwärts bis zur Neun sind es fünfzehn, dann zwanzig.",
        "Zwanzig vor fünf.",
    ],
    ("de", "digital"): [
        "Der kleine Zeiger ist über die Vier hinaus.",
        "Bei der Sechs sind es dreißig, dann fünfunddreißig, vierzig.",
        "Vier Uhr vierzig.",
    ],
}


@pytest.mark.parametrize(("tag", "register"), TWENTY_TO_FIVE)
def test_twenty_to_five_is_told_in_each_language(tag: str, register: Register) -> None:
    assert told("4:40", "fives-to", tag, register) == " ".join(TWENTY_TO_FIVE[tag, register])


def test_german_counts_from_the_half_hour_and_names_the_coming_hour() -> None:
    assert told("4:35", "fives-to", "de", "analogue") == (
        "Der kleine Zeiger ist auf dem Weg zur Fünf. Ab der Sechs zählen wir fünf. Fünf nach halb fünf."
    )
    before = reason(AT("4:25"), step=step("fives-past"), language=language("de"), register="analogue")
    assert before[1].cue == MinuteCount("to", 25, ((25, 5),), origin=6)
    assert before[1].speech == "Rückwärts ab der Sechs zählen wir fünf."
    ones = reason(AT("4:23"), step=step("minutes"), language=language("de"), register="analogue")[1]
    assert (ones.written, ones.cue) == (
        "Rückwärts ab der 6 zählen wir 5 und 2.",
        MinuteCount("to", 23, ((25, 5), (23, 2)), origin=6),
    )
    assert told("4:30", "half-past", "de", "analogue") == (
        "Der kleine Zeiger ist auf dem Weg zur Fünf. Der große Zeiger ist halb herum: halb. Halb fünf."
    )


def test_french_keeps_a_no_break_space_before_its_colon_in_both_texts() -> None:
    clause = reason(AT("4:15"), step=step("quarters"), language=language("fr"), register="analogue")[1]
    assert clause.written == "La grande aiguille est au 3\u00a0: et quart."
    assert clause.speech == "La grande aiguille est au trois\u00a0: et quart."


@pytest.mark.parametrize("tag", CODES)
@pytest.mark.parametrize("register", REGISTERS)
def test_a_mix_up_that_may_be_told_has_its_sentence_in_every_language(tag: str, register: Register) -> None:
    speaker = language(tag)
    manner = speaker.manner(register)
    said = set()
    for time in ALL_TIMES:
        for wrong in wrong_readings(time, (manner,)):
            clause = why_wrong(wrong, time, language=speaker, registers=(register,))
            reading = speaker.phrase(wrong, register).speech
            assert clause.cue == GhostDial(wrong)
            assert not re.search(r"\d|[{}]", clause.speech)
            assert clause.speech[0].isupper()
            told_mixup = told_of(time, wrong, (manner,))
            if told_mixup:
                assert clause.speech.endswith(f" {reading}.")
                assert len(clause.speech.split()) <= MOST_WORDS
                said.add((told_mixup[0], clause.speech.removesuffix(f" {reading}.")))
    # One sentence for each mix-up, and no two alike.
    assert len({name for name, _ in said}) == len({words for _, words in said}) == len(said)


def test_the_wrong_choice_is_explained_by_what_gives_it() -> None:
    clause = why_wrong(AT("8:20"), AT("4:40"), language=language("en-GB"), registers=("analogue",))
    assert clause.speech == "Swapping the two hands gives twenty past eight."
    clause = why_wrong(AT("8:20"), AT("4:40"), language=language("fr"), registers=("digital",))
    assert clause.speech == "Échanger les aiguilles donne huit heures vingt."


def test_a_slip_of_the_second_wording_is_told_with_that_reading() -> None:
    def said(*registers: Register) -> str:
        return why_wrong(AT("5:45"), AT("4:45"), language=language("en-GB"), registers=registers).speech

    assert said("digital") == "Taking the nearest number as the hour gives five forty-five."
    assert said("analogue", "digital") == said("digital")
    # "Quarter to six" is not what the nearest numeral gives: that is five, and five is right.
    assert said("analogue") == "Quarter to six would look like this."


def test_a_near_miss_only_shows_its_dial() -> None:
    clause = why_wrong(AT("1:00"), AT("12:00"), language=language("en-GB"), registers=("digital",))
    assert clause == Clause(
        written="One o'clock would look like this.",
        speech="One o'clock would look like this.",
        cue=GhostDial(AT("1:00")),
        stops=(Stop(0, "hour"),),
    )


def test_the_right_reading_is_not_explained_away() -> None:
    with pytest.raises(ClockError) as caught:
        why_wrong(AT("4:40"), AT("4:40"), language=language("en-GB"), registers=("digital",))
    assert str(caught.value) == "4:40 is the right reading, so there is nothing wrong to explain."


@pytest.mark.parametrize(
    ("time", "wrong", "code", "register", "says"),
    [
        ("3:40", "3:35", "en-GB", "digital", "five minutes too few"),
        # Twenty-five to four: counted back too far.
        ("3:40", "3:35", "en-GB", "analogue", "five minutes too many"),
        ("3:40", "3:45", "en-GB", "analogue", "five minutes too few"),
        # "Fünf nach halb vier" is not counted back at all.
        ("3:40", "3:35", "de", "analogue", "sähe so aus"),
        ("4:30", "3:30", "de", "analogue", "Wer die vergangene Stunde nennt, liest halb vier."),
        ("4:25", "4:35", "de", "analogue", "Wer vor und nach verwechselt, liest fünf nach halb fünf."),
        ("4:40", "5:20", "en-US", "analogue", "before and after the hour gives twenty after five."),
    ],
)
def test_a_slip_is_told_in_the_words_in_which_it_was_made(
    time: str, wrong: str, code: str, register: Register, says: str
) -> None:
    clause = why_wrong(AT(wrong), AT(time), language=language(code), registers=(register,))
    assert says in clause.written
