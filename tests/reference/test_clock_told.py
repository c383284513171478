"""What is told about a dial, taken literally by a child who knows nothing else.

Written from the sentences alone: nothing here uses the rules of caller/clock. The child looks at two angles,
does exactly what it hears, and says the time as its language does (number words by num2words, grammar below).
Every sentence it hears has to come true, in every language, wording and time.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache, partial

import pytest
from num2words import num2words

from caller.clock import ClockTime
from caller.clock.ladder import STEP_CODES, step
from caller.clock.mixups import wrong_readings
from caller.clock.said_and_shown import HourSector, MinuteCount, ShowReading
from caller.languages import CODES, Register, language
from caller.languages.reasons import reason, why_wrong
from caller.screen.cues import written_numbers
from caller.screen.scene import ActiveCue

REGISTERS: tuple[Register, ...] = ("digital", "analogue")
MOST_WORDS = 12
ROMAN = ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")


@dataclass(frozen=True)
class Said:
    """The parts of a spoken time: hour word, number of minutes, and on which side of what."""

    hour: int
    minutes: int
    side: str = "after"  # or "before", "after half", "before half"


def taken_apart(hour: int, minute: int, code: str, register: str) -> Said:
    coming = hour % 12 + 1
    if register == "digital":
        return Said(hour, minute)
    if code == "de" and 20 < minute < 40:
        return Said(coming, abs(minute - 30), "before half" if minute < 30 else "after half")
    return Said(hour, minute) if minute <= 30 else Said(coming, 60 - minute, "before")


def put_right(said: Said) -> Said:
    """None and sixty minutes are the whole or the half hour itself."""
    if said.minutes == 0:
        return replace(said, side=said.side.replace("before", "after"))
    return Said(said.hour % 12 + 1, 0) if said.minutes == 60 and said.side == "after" else said


def word(n: int, code: str) -> str:
    return str(num2words(n, lang=code[:2]))


def spoken(said: Said, code: str, register: str) -> str:
    """The words of a time, by a small grammar of our own."""
    hour, n, side = said.hour, said.minutes, said.side
    h, m = word(hour, code), word(n, code)
    if code.startswith("en"):
        if n == 0:
            return f"{h} o'clock"
        if register == "digital":
            return f"{h} {'oh ' if n < 10 else ''}{m}"
        if n == 30:
            return f"half past {h}"
        count = "quarter" if n == 15 else m if n % 5 == 0 else f"{m} minute{'s' * (n > 1)}"
        past = "past" if code == "en-GB" else "after"
        return f"{count} {past if side == 'after' else 'to'} {h}"
    if code == "de":
        uhr = f"{'ein' if hour == 1 else h} Uhr"
        if n == 0 and side == "after":
            return uhr
        if register == "digital":
            return f"{uhr} {m}"
        if n == 0:
            return f"halb {h}"
        units = "eine Minute" if n == 1 else f"{m} Minuten"
        count = "Viertel" if n == 15 else m if n % 5 == 0 else units
        return f"{count} {'nach' if 'after' in side else 'vor'}{' halb' * ('half' in side)} {h}"
    if code == "fr":
        heures = "une heure" if hour == 1 else f"{h} heures"
        minutes = re.sub(r"\bun$", "une", m)
        if register == "digital":
            return f"{heures} {minutes}" if n else heures
        if hour == 12:
            heures = "midi"
        if side == "before":
            return f"{heures} moins {'le quart' if n == 15 else minutes}"
        if n == 0:
            return heures
        return f"{heures} " + {15: "et quart", 30: "et demi" if hour == 12 else "et demie"}.get(n, minutes)
    las = "la una" if hour == 1 else f"las {h}"
    if n == 0:
        return f"{las} en punto"
    if register == "digital":
        return f"{las} {'cero ' if n < 10 else ''}{m}"
    short = re.sub(r"veintiuno$", "veintiún", m) if n == 21 else re.sub(r"uno$", "un", m)
    count = m if n % 5 == 0 else f"{short} minuto{'s' * (n > 1)}"
    count = {15: "cuarto", 30: "media"}.get(n, count)
    if code == "es-US" and side == "before":
        return f"{'un ' * (n == 15)}{count} para {las}"
    return f"{las} {'y' if side == 'after' else 'menos'} {count}"


@dataclass(frozen=True)
class Dial:
    """What a child sees: two angles in degrees; and the time as it should be said."""

    short_deg: float
    long_deg: float
    truth: Said

    @property
    def passed(self) -> int:
        return int(self.short_deg // 30) or 12

    @property
    def coming(self) -> int:
        return int(-(-self.short_deg // 30)) % 12 or 12

    @property
    def long_number(self) -> int | None:
        return int(self.long_deg // 30) or 12 if self.long_deg % 30 == 0 else None

    @property
    def marks_from_passed(self) -> int:
        return round((self.long_deg - 30 * self.passed) % 360 / 6)


def swapped(dial: Dial) -> Said | None:
    # The short hand is read at its number; a hair from the next one a child would read that.
    if dial.long_number is None or 30 - dial.short_deg % 30 <= 2.5:
        return None
    return around(dial.long_number, 5 * (dial.passed % 12), dial.truth)


def swapped_by_marks(dial: Dial) -> Said | None:
    return around(int(dial.long_deg // 30) or 12, int(dial.short_deg // 6), dial.truth)


def around(hour: int, minute: int, _truth: Said) -> Said:
    """The hour is named as it is pointed at, whatever is counted."""
    return Said(hour, minute)


def nearest(dial: Dial) -> Said | None:
    if dial.short_deg % 30 == 15:
        return None
    return replace(dial.truth, hour=round(dial.short_deg / 30) % 12 or 12)


def next_number(dial: Dial) -> Said | None:
    rest = dial.truth.minutes % 5
    if "after" not in dial.truth.side or not rest:
        return None
    return replace(dial.truth, minutes=dial.truth.minutes + 5 - rest)


def zero_moved(dial: Dial) -> Said | None:
    figures = f"{dial.truth.minutes:02d}"
    return replace(dial.truth, minutes=int(figures[::-1])) if "0" in figures else None


def counted_from_short_hand(dial: Dial) -> Said | None:
    return replace(dial.truth, minutes=dial.marks_from_passed) if dial.truth.side == "after" else None


def joined(dial: Dial) -> Said | None:
    return None if dial.long_number is None else Said(int(f"{dial.passed}{dial.long_number}"), 0)


def hour_at_long_hand(dial: Dial) -> Said | None:
    return None if dial.long_number is None else replace(dial.truth, hour=dial.long_number)


def number_as_minutes(dial: Dial) -> Said | None:
    return None if dial.long_number is None else Said(dial.passed, dial.long_number)


def sides_mixed_up(dial: Dial) -> Said:
    side = dial.truth.side
    return replace(
        dial.truth, side=side.replace("after", "x").replace("before", "after").replace("x", "before")
    )


def more(minutes: int) -> Callable[[Dial], Said | None]:
    return lambda dial: replace(dial.truth, minutes=dial.truth.minutes + minutes)


# How each sentence begins in English, Spanish, French and German, and what a child does who obeys it.
SENTENCES: dict[tuple[str, str, str, str], Callable[[Dial], Said | None]] = {
    (
        "Swapping the two hands",
        "Si cambiamos las agujas",
        "Échanger les aiguilles donne",
        "Wer die Zeiger vertauscht",
    ): swapped,
    (
        "Swapping the hands, mark by mark",
        "Cambiando agujas y contando rayas",
        "Échanger les aiguilles, trait par trait",
        "Wer die Zeiger strichgenau vertauscht",
    ): swapped_by_marks,
    (
        "Taking the nearest number",
        "Si tomamos el número más cercano",
        "Prendre le nombre le plus proche",
        "Wer die nähere Zahl nimmt",
    ): nearest,
    (
        "Taking the next hour",
        "Si tomamos la hora siguiente",
        "Prendre l'heure suivante",
        "Wer die kommende Stunde nimmt",
    ): lambda dial: replace(dial.truth, hour=dial.coming),
    (
        "Reading the long hand's number as minutes",
        "Si el número son los minutos",
        "Prendre le nombre pour des minutes",
        "Wer die Zahl für Minuten hält",
    ): number_as_minutes,
    (
        "Counting five minutes too many",
        "Si contamos cinco minutos de más",
        "Compter cinq minutes de trop",
        "Wer fünf Minuten zu viel zählt",
    ): more(5),
    (
        "Counting five minutes too few",
        "Si contamos cinco minutos de menos",
        "Oublier cinq minutes",
        "Wer fünf Minuten zu wenig zählt",
    ): more(-5),
    (
        "Counting one minute too many",
        "Si contamos un minuto de más",
        "Compter une minute de trop",
        "Wer eine Minute zu viel zählt",
    ): more(1),
    (
        "Counting one minute too few",
        "Si contamos un minuto de menos",
        "Oublier une minute",
        "Wer eine Minute zu wenig zählt",
    ): more(-1),
    (
        "Taking the hour from the long hand",
        "Con la aguja larga como hora",
        "Lire l'heure à la grande aiguille",
        "Wer die Stunde am großen Zeiger sucht",
    ): hour_at_long_hand,
    (
        "Mixing up before and after the hour",
        "Si confundimos antes y después",
        "Confondre avant et après",
        "Wer vor und nach verwechselt",
    ): sides_mixed_up,
    (
        "Naming the hour that has passed",
        "Si nombramos la hora pasada",
        "Nommer l'heure déjà passée",
        "Wer die vergangene Stunde nennt",
    ): lambda dial: replace(dial.truth, hour=dial.passed),
    (
        "Naming the hour that is coming",
        "Si nombramos la hora que viene",
        "Nommer l'heure qui vient",
        "Wer die kommende Stunde nennt",
    ): lambda dial: replace(dial.truth, hour=dial.coming),
    (
        "Counting the wrong way round",
        "Si contamos al revés",
        "Compter à l'envers",
        "Wer falsch herum zählt",
    ): lambda dial: replace(dial.truth, minutes=60 - dial.truth.minutes),
    (
        "Leaving out the single minutes",
        "Si olvidamos los minutos sueltos",
        "Oublier les dernières minutes",
        "Wer die einzelnen Minuten weglässt",
    ): lambda dial: replace(dial.truth, minutes=dial.truth.minutes // 5 * 5),
    (
        "Going on to the next number",
        "Si saltamos al número siguiente",
        "Aller au nombre suivant",
        "Wer zur folgenden Zahl weitergeht",
    ): next_number,
    ("Moving the zero", "Si movemos el cero", "Déplacer le zéro", "Wer die Null verschiebt"): zero_moved,
    (
        "Counting in tens, not fives",
        "Si contamos de diez en diez",
        "Compter de dix en dix",
        "Wer in Zehnern zählt",
    ): lambda dial: replace(dial.truth, minutes=dial.truth.minutes // 5 * 10),
    (
        "Staying with the hour before",
        "Si seguimos en la hora anterior",
        "Rester à l'heure d'avant",
        "Wer bei der Stunde davor bleibt",
    ): lambda dial: replace(dial.truth, hour=(dial.passed - 2) % 12 + 1),
    (
        "Counting from the short hand",
        "Si contamos desde la aguja corta",
        "Compter depuis la petite aiguille",
        "Wer ab dem kleinen Zeiger zählt",
    ): counted_from_short_hand,
    (
        "Counting a quarter as twenty-five",
        "Si un cuarto son veinticinco",
        "Prendre un quart pour vingt-cinq",
        "Wer ein Viertel für fünfundzwanzig hält",
    ): lambda dial: replace(dial.truth, minutes=25) if dial.truth.minutes == 15 else None,
    (
        "Putting both numbers together",
        "Si juntamos los dos números",
        "Coller les deux nombres",
        "Wer beide Zahlen zusammenzieht",
    ): joined,
}
COLUMN = {"en-GB": 0, "en-US": 0, "es": 1, "es-US": 1, "fr": 2, "de": 3}


@cache
def all_words(code: str, register: str) -> dict[Said, str]:
    times = ((hour, minute) for hour in range(1, 13) for minute in range(60))
    parts = (taken_apart(hour, minute, code, register) for hour, minute in times)
    return {said: spoken(said, code, register) for said in parts}


def seen(hour: int, minute: int, code: str, register: str) -> Dial:
    return Dial(30.0 * (hour % 12) + minute / 2, 6.0 * minute, taken_apart(hour, minute, code, register))


def obeyed(dial: Dial, sentence: str, code: str, register: str) -> str | None:
    """The words a child arrives at who does what the sentence says; None where it cannot be done."""
    column = COLUMN[code]
    begun = [act for starts, act in SENTENCES.items() if sentence.startswith(starts[column])]
    (act,) = begun
    done = act(dial)
    return None if done is None else all_words(code, register).get(put_right(done))


def told_sentences(code: str, register: Register, every: int) -> Iterator[tuple[ClockTime, ClockTime, str]]:
    speaker = language(code)
    for minutes in range(0, 720, every):
        time = ClockTime.from_minutes(minutes)
        wrongs = {*wrong_readings(time, (speaker.manner(register),)), time.plus(60), time.plus(-60)}
        for wrong in sorted(wrongs):
            yield time, wrong, why_wrong(wrong, time, language=speaker, registers=(register,)).speech


def check_told(code: str, register: Register, every: int) -> int:
    told = 0
    plain = language(code)
    for time, wrong, sentence in told_sentences(code, register, every):
        dial = seen(time.hour, time.minute, code, register)
        words = all_words(code, register)[taken_apart(wrong.hour, wrong.minute, code, register)]
        if not any(sentence.startswith(starts[COLUMN[code]]) for starts in SENTENCES):
            # Nothing is claimed: the reading is only shown.
            assert words.casefold() in sentence.casefold(), (str(time), sentence)
            continue
        assert sentence.endswith(f" {words}."), (str(time), str(wrong), sentence, words)
        assert obeyed(dial, sentence, code, register) == words, (plain.code, str(time), sentence)
        assert words != all_words(code, register)[dial.truth], (str(time), sentence)
        assert len(sentence.split()) <= MOST_WORDS
        told += 1
    return told


@pytest.mark.parametrize("register", REGISTERS)
@pytest.mark.parametrize("code", CODES)
def test_taking_one_roman_numeral_for_another_gives_the_wrong_words(code: str, register: Register) -> None:
    """The child takes the one numeral for the other wherever it reads one: at both hands."""
    speaker, alike = language(code), {4: 6, 6: 4, 9: 11, 11: 9}
    begins = {"en": "Mixing up ", "es": "Si confundimos ", "fr": "Confondre ", "de": "Wer "}[code[:2]]
    joined = {"en": "and", "es": "y", "fr": "et", "de": "und"}[code[:2]]
    told = 0
    for minutes in range(720):
        time = ClockTime.from_minutes(minutes)
        dial = seen(time.hour, time.minute, code, register)
        for hours in (-2, 2):
            wrong = time.plus(60 * hours)
            line = why_wrong(wrong, time, language=speaker, registers=(register,), numerals="roman")
            one, other = dial.truth.hour, alike.get(dial.truth.hour)
            pair = f"{begins}{word(one, code)} {joined} {word(other or 0, code)}"
            if not line.speech.startswith(pair):
                continue
            told += 1
            assert other is not None
            assert re.findall(r"\b[IVX]+\b", line.written) == [ROMAN[one], ROMAN[other]]
            # What is counted stays as it was only if the long hand points at neither of the two.
            assert dial.long_number not in (one, other), (str(time), line.speech)
            words = all_words(code, register)[replace(dial.truth, hour=other)]
            assert line.speech.endswith(f" {words}."), (str(time), line.speech)
            assert len(line.speech.split()) <= MOST_WORDS
            plain = why_wrong(wrong, time, language=speaker, registers=(register,))
            assert not plain.speech.startswith(pair)
    assert told > 180


@pytest.mark.parametrize("register", REGISTERS)
@pytest.mark.parametrize("code", CODES)
def test_on_a_roman_dial_the_caption_writes_what_stands_there(code: str, register: Register) -> None:
    for minutes in range(0, 720, 5):
        time = ClockTime.from_minutes(minutes)
        told = partial(reason, time, step=step("fives-to"), language=language(code), register=register)
        plain, roman = told(), told(numerals="roman")
        assert [each.speech for each in plain] == [each.speech for each in roman]
        assert [each.cue for each in plain] == [each.cue for each in roman]
        for one, other in zip(plain[:-1], roman[:-1], strict=True):
            hands = [n for n in numbers(one.written) if n not in numbers(other.written) or n <= 12]
            written = [ROMAN.index(w) for w in re.findall(r"\b[IVX]+\b", other.written)]
            assert set(written) <= set(hands), (one.written, other.written)
            assert written or not re.search(r"\d", one.written), (one.written, other.written)


@pytest.mark.parametrize("register", REGISTERS)
@pytest.mark.parametrize("code", CODES)
def test_doing_what_is_told_gives_the_wrong_words_and_no_others(code: str, register: Register) -> None:
    assert check_told(code, register, every=1) > 1000


def numbers(text: str) -> list[int]:
    return [int(number) for number in re.findall(r"\d+", text)]


def check_reason(time: ClockTime, at_step: str, code: str, register: Register) -> None:
    """Numeral lit is numeral named, numbers drawn are numbers said, and both are true of this dial."""
    clauses = reason(time, step=step(at_step), language=language(code), register=register)
    where = (code, register, at_step, str(time), [clause.written for clause in clauses])
    dial = seen(time.hour, time.minute, code, register)
    truth = dial.truth
    said = all_words(code, register)[truth]
    assert clauses[-1].speech.casefold() == f"{said}.".casefold(), where
    assert all(len(clause.speech.split()) <= MOST_WORDS for clause in clauses), where
    assert clauses[-1].cue == ShowReading(time, truth.hour), where
    if time.minute == 0:
        assert numbers(clauses[0].written) == [12], where
        assert numbers(clauses[1].written) == [time.hour], where
        return
    short, long = clauses[0], clauses[1]
    assert isinstance(short.cue, HourSector)
    named = numbers(short.written)
    assert short.cue.lit == truth.hour, where
    assert truth.hour in named, where
    assert set(named) <= {dial.passed, dial.coming}, where
    assert short.cue.hour == dial.passed, where

    cue = long.cue
    assert isinstance(cue, MinuteCount)
    drawn = [
        int(text.removeprefix("+")) for text in written_numbers([ActiveCue(cue=cue, progress=1.0)]).values()
    ]
    assert [number for _, number in cue.counted] == drawn, where
    assert 6 * cue.end == dial.long_deg, where
    heard = numbers(long.written)
    if not drawn:
        # A quarter or a half is named, and at most the number that the long hand points at.
        assert heard in ([], [dial.long_number]), where
        return
    start = 6 if "half" in truth.side else 12
    way = -1 if "before" in truth.side else 1
    fives = [number for _, number in cue.counted if number % 5 == 0]
    places = {start, *((start + way * number // 5) % 12 or 12 for number in fives)}
    # One number of the dial is named beside the count: where it starts, or where the first five ends.
    rest = list(heard)
    for number in drawn:
        rest.remove(number)
    assert len(rest) == 1, where
    assert rest[0] in places, where
    for mark, number in cue.counted[: len(fives)] if fives else cue.counted:
        assert (5 * start + way * number) % 60 == mark, where
    assert cue.counted[-1][0] == time.minute, where
    reached = fives[-1] if fives else 0
    singles = drawn[-1] if drawn[-1] % 5 else 0
    assert reached + singles == truth.minutes, where
    assert way == (1 if cue.towards == "past" else -1), where


@pytest.mark.parametrize("at_step", STEP_CODES)
@pytest.mark.parametrize("code", CODES)
def test_what_is_said_is_what_is_lit_and_drawn(code: str, at_step: str) -> None:
    for register in REGISTERS:
        for minutes in range(720):
            check_reason(ClockTime.from_minutes(minutes), at_step, code, register)
