from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from caller.clock import ClockTime, DayTime
from caller.clock.mixups import explained_by
from caller.deciding.circumstances import Circumstances, conditions_of
from caller.deciding.decide import decide
from caller.errors import CallerError, ScriptError
from caller.hall.adapt import DEFAULT_DELIVERY, delivery_for
from caller.languages import CODES
from caller.lesson import CatchUp, LanguageCode, Lesson, Opening, Practice, Round
from caller.lesson.library import find_lesson, read_lesson, ready_lessons
from caller.moves import catalogue
from caller.moves.pairs import Conditions, objections
from caller.planning.staging import Stage
from caller.questions import QUESTION_CODES
from caller.runsheet import Call, RunSheet
from caller.runsheet.forms import as_json
from caller.runsheet.sequence import make_run_sheet, said, said_to_lead
from tests.sampling import EXAMPLES

KINDS = QUESTION_CODES
LANGUAGES = CODES


def _lesson(*rounds: Round, **keys: object) -> Lesson:
    return replace(Lesson(rounds=rounds or (Round(time=ClockTime(4, 40)),), step="fives-to"), **keys)  # type: ignore[arg-type]


def _all_kinds(**keys: object) -> Lesson:
    times: dict[str, ClockTime | DayTime] = {"day-part": DayTime(16, 40), "later": ClockTime(2, 50)}
    return _lesson(*(Round(kind=kind, time=times.get(kind, ClockTime(4, 40))) for kind in KINDS), **keys)


def _calls(sheet: RunSheet, round_number: int) -> list[Call]:
    return [call for call in sheet.calls if call.round == round_number]


def test_the_demo_holds_every_part_of_a_lesson_in_order() -> None:
    sheet = make_run_sheet(read_lesson(find_lesson("demo")))
    parts = [call.part for call in sheet.calls]
    assert sorted(set(parts), key=parts.index) == ["opening", "round", "close"]
    kinds = [call.kind for call in sheet.calls if call.part == "opening"]
    assert kinds == ["welcome", "safety", "warm-up", "warm-up", "warm-up"]
    assert [call.number for call in sheet.calls] == list(range(1, len(sheet.calls) + 1))
    assert len(sheet.rounds) >= 4


ROUND = ["ready", "question", "choices", "decide", "move", "time-up", "answer", "reason"]


def test_a_round_has_its_calls_in_order() -> None:
    rounds = [Round(time=ClockTime(hour, 40)) for hour in range(4, 12)]
    sheet = make_run_sheet(_lesson(*rounds))
    assert [call.kind for call in _calls(sheet, 1)] == [*ROUND, "catch-up"]
    assert [call.kind for call in _calls(sheet, 2)] == [*ROUND, "catch-up", "catch-up"]  # once with the arms
    assert [call.part for call in sheet.calls if call.round == 8] == ["calm"] * 9


def test_the_practice_is_a_round_without_a_number() -> None:
    sheet = make_run_sheet(_lesson())
    assert [call.kind for call in sheet.calls if call.part == "practice"] == ROUND
    assert all(call.round is None for call in sheet.calls if call.part == "practice")
    assert len(sheet.rounds) == 1


def test_each_choice_is_read_once_with_its_side_and_its_move_and_twice_where_that_is_asked() -> None:
    for twice in (False, True):
        sheet = make_run_sheet(_lesson(say_twice=twice))
        (choices,) = [call for call in _calls(sheet, 1) if call.kind == "choices"]
        for lane in choices.board.lanes:
            read = [line for line in choices.lines if line.point_to == lane.side]
            assert len(read) == 1 + twice
            move = catalogue()[lane.move]
            # The second time its name is enough.
            assert all(
                words in line.written for words, line in zip((move.call(), move.name()), read, strict=False)
            )
            assert all(lane.side in line.written.lower() for line in read)
            assert lane.words in read[0].written.lower()


def test_words_shrink_once_the_class_knows_a_round_but_the_reason_stays() -> None:
    rounds = [Round(time=ClockTime(4, 40), wrong=(ClockTime(8, 20),), moves=("march", "squats"))] * 3
    sheet = make_run_sheet(_lesson(*rounds, practice=Practice(skip=True)))
    words = [
        {
            call.kind: sum(len(line.speech.split()) for line in call.lines)
            for call in _calls(sheet, number)
            if call.kind != "catch-up"
        }
        for number in (1, 2)
    ]
    assert all(words[1][kind] < words[0][kind] for kind in ("ready", "choices", "decide", "answer"))
    assert words[1]["reason"] == words[0]["reason"]


def test_the_rules_are_told_on_the_first_clock_and_not_to_a_class_that_was_led_before() -> None:
    lesson = _lesson(Round(time=ClockTime(4, 40)), practice=Practice(skip=True))

    def told(*, led_before: bool) -> str:
        given = Circumstances(conditions=conditions_of(lesson), led_before=led_before)
        return " ".join(line.written for call in said(decide(lesson, given)).calls for line in call.lines)

    assert "Each answer has a move." in told(led_before=False)
    assert "Each answer has a move." not in told(led_before=True)
    assert len(told(led_before=True)) < len(told(led_before=False)) - 150  # one sentence of safety


def test_the_answer_stands_in_its_lane() -> None:
    for seed in range(20):
        sheet = make_run_sheet(_lesson(Round(time=ClockTime(4, 40), choices=2 + seed % 2), seed=seed))
        (facts,) = sheet.rounds
        (answer,) = [call for call in _calls(sheet, 1) if call.kind == "answer"]
        lanes = {lane.side: lane for lane in answer.board.lanes}
        assert answer.board.answer == facts.answer
        assert lanes[facts.answer].numeral == "4:40"
        assert len(lanes) == 2 + seed % 2
        assert tuple(lane.move for lane in answer.board.lanes) == facts.moves


def test_a_scripts_own_choices_are_kept() -> None:
    own = Round(
        time=ClockTime(4, 40),
        wrong=(ClockTime(8, 20),),
        moves=("squats", "march"),
        answer="right",
        think_seconds=9,
        catch_up="calm",
        say="This one is from the harbour.",
        reason="The short hand is on its way to five.",
    )
    sheet = make_run_sheet(_lesson(own))
    (facts,) = sheet.rounds
    assert (facts.wrong, facts.moves, facts.answer, facts.think_s) == (
        (ClockTime(8, 20),),
        own.moves,
        "right",
        9,
    )
    assert facts.mixups == (explained_by(ClockTime(4, 40), ClockTime(8, 20), ["analogue", "digital"]),)
    calls = {call.kind: call for call in _calls(sheet, 1)}
    assert calls["question"].lines[0].written == own.say
    assert [line.written for line in calls["reason"].lines] == [own.reason]
    assert [call.board.move for call in _calls(sheet, 1) if call.kind == "catch-up"] == ["slow-breaths"]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_question_runs(kind: str) -> None:
    sheet = make_run_sheet(_all_kinds())
    number = KINDS.index(kind) + 1
    facts = sheet.rounds[number - 1]
    calls = {call.kind: call for call in _calls(sheet, number)}
    assert facts.question == kind
    if kind == "be-the-clock":
        assert "choices" not in calls
        assert (facts.wrong, facts.moves) == ((), ())
        assert calls["move"].board.dials[0].time is None
        assert calls["answer"].board.arms == ClockTime(4, 40)
        return
    lanes = calls["choices"].board.lanes
    right = next(lane for lane in lanes if lane.side == facts.answer)
    assert calls["answer"].board.answer == facts.answer
    if kind == "find":
        assert calls["choices"].board.layout == "dials"
        assert right.dial == facts.time
        assert {lane.dial for lane in lanes} == {facts.time, *facts.wrong}
    elif kind == "is-it-so":
        assert {lane.numeral for lane in lanes} == {"Yes", "No"}
        assert (right.numeral == "Yes") == (calls["question"].board.asked == "4:40")
    elif kind == "later":
        assert facts.time == ClockTime(3, 20)
        assert [dial.time for dial in calls["question"].board.dials] == [ClockTime(2, 50), None]
        assert [dial.time for dial in calls["answer"].board.dials] == [ClockTime(2, 50), ClockTime(3, 20)]
        assert right.numeral == "3:20"
    elif kind == "earlier":
        assert facts.time == ClockTime(4, 10)
    elif kind == "day-part":
        assert calls["question"].board.day_time == DayTime(16, 40)
        assert right.numeral == "16:40"
        assert {lane.numeral for lane in lanes} == {"16:40", "14:40"}


def test_everything_said_is_shown_and_everything_shown_is_said() -> None:
    for language in LANGUAGES:
        for register in ("both", "digital"):
            sheet = make_run_sheet(
                _all_kinds(language=language, register=register, title="Clocks", class_name="Terns")
            )
            for call in sheet.calls:
                for line in call.lines:
                    assert bool(line.written) == bool(line.speech)
                    assert line.written or line.tone
                said = " ".join(line.written for line in call.lines).lower()
                for shown in (call.board.title, *call.board.points):
                    assert shown.lower() in said, (language, call.kind, shown)
            for number, facts in enumerate(sheet.rounds, start=1):
                calls = _calls(sheet, number)
                said = " ".join(line.written for call in calls for line in call.lines).lower()
                for call in calls:
                    for lane in call.board.lanes:
                        assert lane.words.lower() in said, (language, facts.question)
                        move = catalogue()[lane.move]  # called on the first clock, and then named
                        called, named = (tell(language).lower() for tell in (move.call, move.name))
                        assert called in said or named in said
                    assert call.board.asked_words.lower() in said


def test_editing_one_round_leaves_the_others_before_it_as_they_were() -> None:
    rounds = tuple(Round(time=ClockTime(hour, 20)) for hour in range(1, 10))
    before = make_run_sheet(_lesson(*rounds, seed=3)).rounds
    edited = (*rounds[:4], replace(rounds[4], time=ClockTime(11, 55), answer="left"), *rounds[5:])
    after = make_run_sheet(_lesson(*edited, seed=3)).rounds
    assert after[:4] == before[:4]
    assert after[4] != before[4]
    # Chance stays apart; only what follows the round before (moves, mix-ups used) may move after it.
    assert [each.time for each in after[5:]] == [each.time for each in before[5:]]


def test_another_seed_decides_otherwise() -> None:
    lesson = read_lesson(find_lesson("demo"))
    sheets = {as_json(make_run_sheet(replace(lesson, seed=seed))) for seed in range(5)}
    assert len(sheets) == 5


def test_the_same_lesson_and_seed_give_the_same_bytes_in_every_process() -> None:
    program = (
        "import sys; from pathlib import Path; from caller.lesson.library import read_lesson;"
        "from caller.runsheet.sequence import make_run_sheet; from caller.runsheet.forms import as_json;"
        "sys.stdout.buffer.write(as_json(make_run_sheet(read_lesson(Path(sys.argv[1])))).encode())"
    )
    for name in ("demo", "is-it-so"):
        path = find_lesson(name)
        here = as_json(make_run_sheet(read_lesson(path))).encode()
        for hash_seed in ("0", "4242"):
            there = subprocess.run(
                [sys.executable, "-c", program, str(path)],
                env={**os.environ, "PYTHONHASHSEED": hash_seed},
                check=True,
                capture_output=True,
            ).stdout
            assert there == here


def test_moves_obey_the_pair_rule_round_after_round() -> None:
    for seed in range(6):
        lesson = _lesson(*(Round(time=ClockTime(hour, 20)) for hour in range(1, 13)), seed=seed)
        previous: Sequence[str] = ()
        for facts in make_run_sheet(lesson).rounds:
            a, b = facts.moves
            assert objections(a, b, conditions=conditions_of(lesson), previous=previous) == ()
            previous = facts.moves


def test_three_moves_are_fair_two_by_two() -> None:
    sheet = make_run_sheet(_lesson(*(Round(time=ClockTime(hour, 20), choices=3) for hour in (2, 5, 8))))
    for facts in sheet.rounds:
        assert len(set(facts.moves)) == 3
        for a, b in [(0, 1), (0, 2), (1, 2)]:
            assert objections(facts.moves[a], facts.moves[b], conditions=Conditions()) == ()


def test_the_last_round_and_a_seated_lesson_keep_to_their_moves() -> None:
    for seed in range(5):
        calm = make_run_sheet(_lesson(Round(), Round(), Round(), seed=seed)).rounds[-1]
        assert all(catalogue()[move].kind in {"balance", "stretch"} for move in calm.moves)
        seated = make_run_sheet(_lesson(Round(), Round(), seed=seed, seated=True))
        moves = {call.board.move for call in seated.calls if call.board.move}
        moves |= {move for facts in seated.rounds for move in facts.moves}
        assert all(catalogue()[move].kind == "seated" for move in moves), moves
        assert "Stand still" not in as_json(seated)


def test_a_damp_floor_allows_no_jump_and_no_floor_move() -> None:
    sheet = make_run_sheet(_lesson(Round(), Round(), Round(), wet=True, shod=False))
    for facts in sheet.rounds:
        assert not any(catalogue()[move].high_impact or catalogue()[move].floor for move in facts.moves)


def test_no_moves_at_all_is_one_kind_sentence() -> None:
    with pytest.raises(CallerError) as caught:
        make_run_sheet(_lesson(opening=Opening(warm_up=("march",)), space_m=0.5))
    assert str(caught.value) == (
        "No two moves fit this hall and class; allow more space, or name the moves in the lesson."
    )


def test_what_no_dial_can_offer_is_told_with_its_round() -> None:
    lesson = _lesson(Round(time=ClockTime(4, 0), choices=3), practice=Practice(skip=True), step="o-clock")
    with pytest.raises(ScriptError) as caught:
        make_run_sheet(lesson, minimum_difference_deg=179.0)
    assert str(caught.value) == (
        "Round 1: 3 readings that all differ by 179 degrees cannot be found for 4:00: "
        "offer fewer choices, or use a larger dial."
    )


def test_the_catch_up_is_a_bout_and_the_same_for_all() -> None:
    sheet = make_run_sheet(_lesson(Round(moves=("march", "squats")), Round(), catch_up=CatchUp(seconds=19)))
    (moving,) = (call for call in _calls(sheet, 1) if call.kind == "catch-up")
    answer_move = sheet.rounds[0].moves[0 if sheet.rounds[0].answer == "left" else 1]
    assert moving.board.move == answer_move
    assert moving.hold_s == 19
    assert all(line.count is None for line in moving.lines)


def test_one_clock_of_a_longer_lesson_is_shown_with_the_arms_where_arms_can_tell_it() -> None:
    def shown(minute: int, more: int = 6) -> list[int | None]:
        rounds = (Round(), Round(time=ClockTime(8, minute)), *[Round()] * more)
        calls = make_run_sheet(_lesson(*rounds, step="minutes", calm_last_round=False)).calls
        return [call.round for call in calls if call.kind == "catch-up" and call.board.arms is not None]

    assert shown(25) == [2]
    assert shown(24) == []
    assert shown(25, more=5) == []  # a short lesson has no time for it


@pytest.mark.parametrize(("kind", "calls"), [("none", 0), ("practise", 1), ("calm", 1), ("everyone", 1)])
def test_a_catch_up_can_be_changed_or_turned_off(kind: str, calls: int) -> None:
    sheet = make_run_sheet(_lesson(catch_up=CatchUp(kind=kind)))  # type: ignore[arg-type]
    assert sum(call.kind == "catch-up" for call in sheet.calls) == calls


def test_a_second_language_says_the_main_words_again() -> None:
    sheet = make_run_sheet(_lesson(second_language="fr"))
    calls = {call.kind: call for call in _calls(sheet, 1)}
    for kind in ("question", "answer"):
        assert {line.language for line in calls[kind].lines} == {"en-GB", "fr"}
    assert [line.language for line in calls["choices"].lines] == ["en-GB", "en-GB", "fr", "fr"]
    assert "Quelle heure est-il\u00a0?" in [line.written for line in calls["question"].lines]


def test_from_the_second_clock_on_a_second_language_says_each_choice_in_its_lane_and_in_few_words() -> None:
    rounds = (Round(), Round(time=ClockTime(4, 40)), *(Round(kind=kind) for kind in ("find", "is-it-so")))
    sheet = make_run_sheet(_lesson(*rounds, second_language="fr"))

    def said(number: int) -> list[tuple[str | None, str, str]]:
        (choices,) = (call for call in _calls(sheet, number) if call.kind == "choices")
        return [(line.point_to, line.language, line.written) for line in choices.lines]

    reading = said(2)
    assert [where for where, _, _ in reading] == ["left", "left", "right", "right"]
    assert [language for _, language, _ in reading] == ["en-GB", "fr", "en-GB", "fr"]
    assert "Cinq heures moins vingt." in [words for _, _, words in reading]
    # A clock to be found has no words; it is asked for in both languages.
    assert [language for _, language, _ in said(3)] == ["en-GB", "en-GB"]
    assert {words for _, language, words in said(4) if language == "fr"} == {"Oui.", "Non."}


def test_the_hall_sets_pace_pauses_and_wording() -> None:
    echoing = delivery_for(mid_reverberation=3.0, sti=0.35)
    lesson = _lesson(Round(time=ClockTime(4, 15), wrong=(ClockTime(4, 50),)), register="digital")
    plain, adapted = make_run_sheet(lesson), make_run_sheet(lesson, delivery=echoing)
    assert plain.voice.rate_wpm == DEFAULT_DELIVERY.rate_wpm
    assert adapted.voice.rate_wpm == echoing.rate_wpm < plain.voice.rate_wpm
    assert adapted.calls[0].lines[0].breath_s == echoing.breath_s
    assert adapted.calls[0].lines[0].pause_s == echoing.sentence_pause_s
    words = {
        lane.numeral: call.lines
        for call in adapted.calls
        for lane in call.board.lanes
        if call.kind == "choices"
    }
    assert any("four, one five" in line.written for line in words["4:15"])


def test_a_time_left_out_is_one_of_the_steps_that_no_round_has() -> None:
    sheet = make_run_sheet(_lesson(*[Round()] * 11, Round(kind="day-part"), step="o-clock"))
    times = [facts.time for facts in sheet.rounds]
    assert len(set(times)) == 12
    assert {time.minute for time in times} == {0}


_TIMES = st.builds(ClockTime, st.integers(1, 12), st.integers(0, 59))
_ROUNDS = st.builds(
    Round,
    kind=st.sampled_from(KINDS),
    time=st.none() | _TIMES,
    choices=st.sampled_from([None, 2, 3]),
    change_minutes=st.integers(1, 660),
    catch_up=st.sampled_from([None, "everyone", "practise", "calm", "none"]),
)


@settings(deadline=None, max_examples=EXAMPLES // 2, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(_ROUNDS, min_size=1, max_size=6).map(tuple),
    st.integers(0, 2**31 - 1),
    st.sampled_from(LANGUAGES),
    st.sampled_from(["o-clock", "quarters", "fives-to", "near-the-hour", "elapsed", "day-parts"]),
    st.booleans(),
)
def test_any_rounds_make_a_run_sheet_that_keeps_the_rules(
    rounds: tuple[Round, ...], seed: int, language: LanguageCode, step: str, seated: bool
) -> None:
    lesson = Lesson(rounds=rounds, seed=seed, language=language, step=step, seated=seated)
    sheet = make_run_sheet(lesson)
    assert len(sheet.rounds) == len(rounds)
    for facts in sheet.rounds:
        if facts.question != "day-part":
            assert facts.time not in facts.wrong
        assert len(facts.wrong) == len(facts.mixups)
    for call in sheet.calls:
        numerals = [lane.numeral for lane in call.board.lanes if lane.numeral]
        assert len(set(numerals)) == len(numerals)
        assert all(not any(letter.isdigit() for letter in line.speech) for line in call.lines), call
        assert (call.countdown is not None) == (call.kind in {"decide", "move"})
    for before, after in pairwise(sheet.calls):
        assert before.number + 1 == after.number


@pytest.mark.parametrize("path", ready_lessons().values(), ids=lambda path: path.stem)
def test_every_ready_lesson_makes_a_run_sheet(path: Path) -> None:
    sheet = make_run_sheet(read_lesson(path))
    assert sheet.rounds
    assert sheet.calls[-1].kind == "close"


def test_where_no_gentle_move_fits_the_lesson_begins_without_a_warm_up() -> None:
    rounds = (Round(time=ClockTime(4, 0), moves=("squats", "star-jumps")),)
    lesson = Lesson(rounds=rounds, space_m=0.6, practice=Practice(skip=True), calm_last_round=False)
    kinds = [call.kind for call in make_run_sheet(lesson).calls]
    assert "warm-up" not in kinds
    assert "move" in kinds


def test_roman_numerals_stand_on_every_dial_and_in_every_caption() -> None:
    """National curriculum in England 2013, Year 3: a clock with Roman numerals from I to XII."""
    offered: set[str] = set()
    for seed in range(4):
        lesson = _lesson(*(Round() for _ in range(6)), numerals="roman", seed=seed)
        sheets = Stage().to_lead(lesson)
        sheet, again = sheets.lesson, sheets.again.calls if seed == 0 else ()
        for call in (*sheet.calls, *again):
            assert call.board.numerals == "roman"
            for line in call.lines if call.kind == "reason" else ():
                # What is counted are minutes, in digits; a number of the dial is written as it stands there.
                named = re.findall(
                    r"(?:points? (?:straight up )?at|passed|reached|way to|for|At|to|From) (\S+?)[ ,.:]",
                    line.written,
                )
                assert not [each for each in named if each.isdigit()], line.written
        offered |= {name for facts in sheet.rounds for names in facts.mixups for name in names}
        plain = make_run_sheet(replace(lesson, numerals="arabic"))
        assert all("look-alike-numeral" not in names for facts in plain.rounds for names in facts.mixups)
    assert "look-alike-numeral" in offered


@pytest.mark.parametrize("code", CODES)
def test_the_sound_check_names_each_of_two_loudspeakers_from_its_own_side(code: LanguageCode) -> None:
    lesson = Lesson(rounds=(Round(time=ClockTime(4, 30)),), language=code)
    decided = decide(lesson, Circumstances(conditions=conditions_of(lesson)))
    delivery = delivery_for(mid_reverberation=1.2, sti=0.6)
    one, two = (
        said_to_lead(decided, {}, delivery=replace(delivery, two_loudspeakers=asked)).before.calls[0]
        for asked in (False, True)
    )
    assert two.lines[: len(one.lines)] == one.lines
    assert [line.point_to for line in two.lines] == [None, "left", "right"]
    assert len({line.speech for line in two.lines}) == 3
