"""What is told of later and earlier, of lengths and of the day, done by a child who knows nothing else.

Written from the sentences alone: the sums are done here in plain minutes, the words are those of num2words
and of the small grammar of `test_clock_told`; nothing here uses caller/clock to reckon. Every jump said must
land where it says, be drawn as it is said, and end on the answer; every mistake told, made on purpose, must
give exactly the wrong choice beside it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from random import Random

import pytest
from num2words import num2words

from caller.clock import ClockTime, DayTime
from caller.clock.ladder import step
from caller.clock.said_and_shown import GhostDial, TimeJump
from caller.deciding import DecidedRound
from caller.hall.adapt import DEFAULT_DELIVERY
from caller.languages import CODES, Register
from caller.languages.phrases import Speaking, phrases
from caller.questions import question_kind
from caller.questions.kind import Asking, Question, ShownTime, WrongChoice
from caller.runsheet import Board, Line
from caller.runsheet.reckoning import question_asked
from caller.runsheet.talk import Talk
from tests.reference.test_clock_told import REGISTERS, spoken, taken_apart

TURN = 720
# How the telling of each mistake begins in English, Spanish, French and German.
COLUMN = {"en-GB": 0, "en-US": 0, "es": 1, "es-US": 1, "fr": 2, "de": 3}


@cache
def times(code: str, register: str) -> dict[str, int]:
    """Return the minutes past twelve that each reading stands for."""
    return {
        spoken(taken_apart(n // 60 or 12, n % 60, code, register), code, register).casefold(): n
        for n in range(TURN)
    }


@cache
def lengths(code: str) -> dict[str, int]:
    return {length(n, code).casefold(): n for n in range(1, TURN)}


def length(minutes: int, code: str) -> str:
    """The words of a length of time, by a small grammar of our own."""
    hours, rest = divmod(minutes, 60)
    h, m = (str(num2words(n, lang=code[:2])) for n in (hours, rest))
    ends = {"en": ("hour", "minute", "s"), "es": ("hora", "minuto", "s"), "fr": ("heure", "minute", "s")}
    hour, minute, many = ends.get(code[:2], ("Stunde", "Minute", "n"))
    if code.startswith("es"):
        h = re.sub(r"uno$", "una", h)
        m = re.sub(r"veintiuno$", "veintiún", re.sub(r"(?<!veinti)uno$", "un", m))
    if code == "fr":
        h, m = (re.sub(r"\bun$", "une", each) for each in (h, m))
    if code == "de":
        h, m = (re.sub(r"^eins$", "eine", each) for each in (h, m))
    parts = [f"{h} {hour}{many * (hours != 1)}"] if hours else []
    parts += [f"{m} {minute}{many * (rest != 1)}"] if rest or not hours else []
    return {"es": " y ", "fr": " et "}.get(code[:2], " ").join(parts)


@cache
def pattern(words: frozenset[str]) -> re.Pattern[str]:
    longest_first = sorted(words, key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, longest_first))})(?![\w-])")


def found(text: str, known: dict[str, int]) -> tuple[int, str]:
    """Return what the longest known words in a text stand for, and the text without them."""
    words = max(pattern(frozenset(known)).findall(text), key=len)
    return known[words], text.replace(words, "", 1)


def last(line: Line, known: dict[str, int]) -> int:
    """Return what the words stand for with which a sentence ends."""
    text = line.speech.casefold().rstrip(".")
    return known[max((words for words in known if f" {text}".endswith(f" {words}")), key=len)]


def heard(line: Line, code: str, register: str) -> tuple[int, int]:
    """Return the length and the time of what tells both."""
    text = line.speech.casefold()
    if code == "fr":
        # "Une heure" is a length and a time: a time comes after one of these.
        parts = re.fullmatch(r"(.*(?:: |il est |il était |jusqu'à ))(.*)", text)
        assert parts is not None, text
        before, time_and_more = parts.groups()
        at = pattern(frozenset(times(code, register))).match(time_and_more)
        assert at is not None, text
        minutes, _ = found(before + time_and_more[at.end() :], lengths(code))
        return minutes, times(code, register)[at[0]]
    minutes, rest = found(text, lengths(code))
    return minutes, found(rest, times(code, register))[0]


@dataclass(frozen=True)
class Sum:
    start: int
    change: int

    @property
    def end(self) -> int:
        return (self.start + self.change) % TURN

    def hour_kept(self) -> int | None:
        """Count the minutes past the twelve and leave the hour as it was; whole hours are counted rightly."""
        hours, rest = divmod(abs(self.change), 60)
        minute = self.start % 60 + (rest if self.change > 0 else -rest)
        whole = self.start // 60 + (hours if self.change > 0 else -hours)
        return None if 0 <= minute < 60 else (60 * whole + minute % 60) % TURN

    def a_hundred(self) -> int | None:
        hours, rest = divmod(self.change, 60)
        minute = self.start % 60 + rest
        return (60 * (self.start // 60 + hours + 1) + minute - 100) % TURN if minute >= 100 else None

    def hours_by_name(self) -> int | None:
        """From 8:30 to 11:00: from eight to eleven is three hours, and thirty minutes more."""
        if self.end % 60 or not self.start % 60:
            return None
        return 60 * ((self.end // 60 - self.start // 60) % 12) + self.start % 60

    def borrowed_a_hundred(self) -> int | None:
        """From 9:45 to 12:00: 12 00 less 9 45 is 2 55; what is left is a number of minutes, or no time."""
        minutes = 100 + self.end % 60 - self.start % 60
        if self.end % 60 >= self.start % 60 or minutes >= 60:
            return None
        return 60 * ((self.end // 60 - self.start // 60 - 1) % 12) + minutes


ENDS: dict[tuple[str, str, str, str], Callable[[Sum], int | None]] = {
    (
        "not changing the hour at twelve",
        "si no cambiamos la hora",
        "ne pas changer d'heure au douze",
        "wer bei zwölf die stunde behält",
    ): Sum.hour_kept,
    (
        "counting a hundred minutes to the hour",
        "si contamos cien minutos en una hora",
        "compter cent minutes dans une heure",
        "wer hundert minuten in der stunde zählt",
    ): Sum.a_hundred,
    (
        "going the other way",
        "si vamos en el otro sentido",
        "aller dans l'autre sens",
        "wer in die andere richtung geht",
    ): lambda given: (given.start - given.change) % TURN,
}
LENGTHS: dict[tuple[str, str, str, str], Callable[[Sum], int | None]] = {
    (
        "counting the hours and adding the minutes",
        "si sumamos los minutos",
        "ajouter les minutes aux heures",
        "wer die minuten zu den stunden zählt",
    ): Sum.hours_by_name,
    (
        "counting a hundred minutes to the hour",
        "si contamos cien minutos",
        "compter cent minutes dans une heure",
        "wer hundert minuten in der stunde zählt",
    ): Sum.borrowed_a_hundred,
}


def done(
    line: Line, code: str, mistakes: dict[tuple[str, str, str, str], Callable[[Sum], int | None]]
) -> Callable[[Sum], int | None] | None:
    """Return the mistake that a sentence tells of, if it tells of one."""
    said = line.speech.casefold()
    return next((act for begins, act in mistakes.items() if said.startswith(begins[COLUMN[code]])), None)


@dataclass(frozen=True)
class Words:
    """A question as it is said, and the screen once its answer is out."""

    question: tuple[Line, ...]
    answer: tuple[Line, ...]
    reason: tuple[Line, ...]
    revealed: Board


def told(question: Question, code: str, register: Register) -> Words:
    talk = Talk(
        first=phrases(code),
        speaking=Speaking(step=step("quarters"), registers=(register, register)),
        delivery=DEFAULT_DELIVERY,
    )
    about = DecidedRound(
        part="round",
        number=1,
        total=1,
        question=question,
        side="left",
        moves=(),
        decide_s=3,
        bout_s=10,
        catch_up=None,
        full=True,
    )
    asked = question_asked(about)
    asks, answer, reason = (tuple(talk.lines(each)) for each in (asked.question, asked.answer, asked.reason))
    return Words(question=asks, answer=answer, reason=reason, revealed=talk.board(asked.revealed))


def sums() -> Iterator[Sum]:
    for start in range(0, TURN, 55):
        yield from (Sum(start, change) for change in (5, 25, 45, 60, 75, 110, 150, 215))


def asked(kind: str, given: Sum, wrong: list[tuple[int, str]]) -> Question:
    at = ClockTime.from_minutes
    choices = tuple(WrongChoice(time=at(time), mixups=frozenset({name})) for time, name in wrong)
    return Question(
        kind=kind, time=at(given.end), start=at(given.start), change_minutes=given.change, wrong=choices
    )


@pytest.mark.parametrize("register", REGISTERS)
@pytest.mark.parametrize("code", CODES)
def test_every_jump_lands_where_it_says_and_ends_on_the_answer(code: str, register: Register) -> None:
    for each in sums():
        for kind, given in (("later", each), ("earlier", Sum(each.start, -each.change)), ("how-long", each)):
            way = 1 if given.change > 0 else -1
            words = told(asked(kind, given, []), code, register)
            where = (code, register, kind, given, [line.speech for line in words.reason])
            question = " ".join(line.speech for line in words.question).casefold()
            asked_for = spoken(
                taken_apart(given.start // 60 or 12, given.start % 60, code, register), code, register
            )
            assert asked_for.casefold() in question, where
            at, walked = given.start, 0
            jumps = [line for line in words.reason if line.cue is not None]
            for line, drawn in zip(jumps, words.revealed.jumps, strict=True):
                minutes, time = heard(line, code, register)
                assert isinstance(line.cue, TimeJump), where
                assert (line.cue.start.minutes, line.cue.minutes) == (at, way * minutes), where
                assert drawn.minutes == minutes, where
                assert drawn.back == (way < 0), where
                at, walked = (at + way * minutes) % TURN, walked + minutes
                assert at == time, where
                # Each but the last ends on a whole hour, which is what makes the jumps easy.
                assert line is jumps[-1] or at % 60 == 0, where
            assert (at, walked) == (given.end, abs(given.change)), where
            answer = " ".join(line.speech for line in words.answer).casefold()
            assert length(abs(given.change), code).casefold() in answer, where
            if kind == "how-long":
                together = [line for line in words.reason if line.cue is None]
                assert len(together) == (len(jumps) > 1), where
                assert all(found(line.speech.casefold(), lengths(code))[0] == walked for line in together), (
                    where
                )
            else:
                assert heard(words.answer[0], code, register) == (walked, at), where


@pytest.mark.parametrize("register", REGISTERS)
@pytest.mark.parametrize("code", CODES)
def test_every_mistake_made_is_told_and_gives_exactly_the_wrong_choice(code: str, register: Register) -> None:
    """The mistakes are made here, from their descriptions; the program is given the wrong time alone."""
    count = 0
    for each in sums():
        for kind, given in (("later", each), ("earlier", Sum(each.start, -each.change)), ("how-long", each)):
            mistakes = LENGTHS if kind == "how-long" else ENDS
            for offered in sorted(set(made_of(mistakes, kind, given))):
                line = told(offering(kind, given, offered), code, register).reason[-1]
                where = (code, register, kind, given, offered, line.speech)
                act = done(line, code, mistakes)
                assert act is not None, where
                assert act(given) == offered, where
                if kind == "how-long":
                    assert last(line, lengths(code)) == offered, where
                else:
                    assert last(line, times(code, register)) == offered, where
                    assert line.cue == GhostDial(ClockTime.from_minutes(offered)), where
                count += 1
    assert count > 200


def made_of(
    mistakes: dict[tuple[str, str, str, str], Callable[[Sum], int | None]], kind: str, given: Sum
) -> Iterator[int]:
    """Yield what a child can arrive at by one of the mistakes that is neither right nor where it began."""
    for act in mistakes.values():
        made = act(given) if act is not Sum.a_hundred or given.change > 0 else None
        if made is not None and made not in (
            (given.change,) if kind == "how-long" else (given.end, given.start)
        ):
            yield made


def offering(kind: str, given: Sum, offered: int) -> Question:
    """Ask as a script does that names its own wrong answer: what explains it is the program's to find."""
    wrong = (given.start + offered) % TURN if kind == "how-long" else offered
    asking = Asking(
        time=ClockTime.from_minutes(given.start),
        wrong=(ClockTime.from_minutes(wrong),),
        change_minutes=abs(given.change),
        step=step("elapsed"),
        manners=("analogue",),
        chance=Random(1),
    )
    return question_kind(kind).decide(asking)


HALVES = {
    "en": ("before noon", "after noon", "noon, by day", "midnight, by night"),
    "es": ("antes del mediodía", "después del mediodía", "mediodía, de día", "medianoche, de noche"),
    "fr": ("avant midi", "après midi", "midi, le jour", "minuit, la nuit"),
    "de": ("vor Mittag", "nach Mittag", "Mittag, am Tag", "Mitternacht, in der Nacht"),
}


def named(number: int, code: str) -> str:
    return str(num2words(number, lang=code[:2]))


@pytest.mark.parametrize("code", CODES)
def test_the_halves_of_the_day_and_the_twelve_that_is_added_are_told_truly(code: str) -> None:
    for minutes in range(0, 1440, 25):
        hour, minute = divmod(minutes, 60)
        time: ShownTime = DayTime(hour, minute)
        half = told(Question(kind="half-of-day", time=time), code, "digital").reason[-1].written
        which = 3 if minutes == 0 else 2 if minutes == 720 else int(hour >= 12)
        assert half.rstrip(".").endswith(HALVES[code[:2]][which]), (code, str(time), half)
        *read_off, line = told(Question(kind="day-part", time=time), code, "digital").reason
        why = line.speech
        # No sum with the six of "quarter to six" gives seventeen: its own hour is told before it is used.
        past_half = minute > (20 if code == "de" else 30)
        assert len(read_off) == (past_half and code != "en-US"), (code, str(time))
        for each in read_off:
            assert last(each, times(code, "digital")) == minutes % TURN, (code, str(time), each.speech)
        heard_numbers = [n for n in range(24) if re.search(rf"(?<![\w-]){named(n, code)}(?![\w-])", why)]
        if hour > 12:
            assert set(heard_numbers) >= {12, hour - 12, hour}, (code, str(time), why)
        elif 0 < hour < 12:
            assert hour in heard_numbers, (code, str(time), why)
            assert 12 not in heard_numbers, (code, str(time), why)
        else:
            assert hour in heard_numbers or (hour == 0 and "zero" in why.replace("é", "e")) or "null" in why


def of_day(minutes: int, code: str) -> str:
    """The words of the twenty-four-hour clock, by a small grammar of our own."""
    hour, minute = divmod(minutes, 60)
    h, m = named(hour, code), named(minute, code)
    if code.startswith("en"):
        zero = "oh" if hour else "zero"
        if minute == 0:
            return f"{'oh ' if 0 < hour < 10 else ''}{h} hundred hours"
        return f"{f'{zero} ' if hour < 10 else ''}{h} {f'{zero} ' if minute < 10 else ''}{m}"
    if code.startswith("es"):
        h = "la una" if hour == 1 else "las " + re.sub("uno$", "una", h)
        if minute == 0:
            return h if hour == 1 else f"{h} horas"
        return f"{h} {'cero ' if minute < 10 else ''}{m}"
    if code == "fr":
        h, m = (re.sub(r"\bun$", "une", each) for each in (h, m))
        hours = f"{h} heure{'s' * (hour > 1)}"
        return f"{hours} {m}" if minute else hours
    hours = f"{'ein' if hour == 1 else h} Uhr"
    return f"{hours} {m}" if minute else hours


# How the telling begins, and what minutes of the day a child comes to who makes the mistake; None: it cannot.
DAYS: dict[tuple[str, str, str, str], Callable[[int], int | None]] = {
    (
        "adding ten instead of twelve",
        "si sumamos diez, no doce",
        "ajouter dix au lieu de douze",
        "wer zehn",
    ): (lambda minutes: minutes - 720 + 600 if minutes >= 780 else None),
    (
        "mixing up the halves of the day",
        "si confundimos las mitades del día",
        "confondre les deux moitiés du jour",
        "wer die beiden tageshälften",
    ): lambda minutes: (minutes + 720) % 1440,
}


@pytest.mark.parametrize("register", REGISTERS)
@pytest.mark.parametrize("code", CODES)
def test_every_mistake_with_the_day_gives_exactly_the_wrong_hour_beside_it(
    code: str, register: Register
) -> None:
    """The program is given the wrong time alone: which mistake leads to it, it has to find."""
    count = 0
    for minutes in range(0, 1440, 65):
        made = {end for act in DAYS.values() if (end := act(minutes)) is not None}
        others = {(minutes + 60 * hours) % 1440 for hours in (1, 2, 10, 22)}
        for offered in made | others:
            asking = Asking(
                time=DayTime.from_minutes(minutes),
                wrong=(DayTime.from_minutes(offered),),
                step=step("day-parts"),
                manners=("analogue",),
                chance=Random(1),
            )
            words = told(question_kind("day-part").decide(asking), code, register)
            where = (code, register, minutes, offered, [line.written for line in words.reason])
            assert words.answer[-1].written.rstrip(".").endswith(of_day(minutes, code)), where
            line = words.reason[-1].written.casefold()
            act = next((act for begins, act in DAYS.items() if line.startswith(begins[COLUMN[code]])), None)
            assert (act is not None) == (offered in made), where
            if act is not None:
                assert act(minutes) == offered, where
                assert line.endswith(f" {of_day(offered, code)}.".casefold()), where
                count += 1
    assert count > 30
