"""Reasons built from the hands: the short hand, the long hand, the time; then the wrong choice."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import product

from caller.clock import ClockError, ClockTime
from caller.clock.ladder import Step
from caller.clock.mixups import told_of
from caller.clock.said_and_shown import (
    Cue,
    GhostDial,
    HandPulse,
    HourSector,
    MinuteCount,
    Numerals,
    ShowReading,
    Spoken,
    coming_hour,
    numeral_on_dial,
    read_off,
    spoken,
)
from caller.languages import Language, Phrase, Register, Stop, fill
from caller.languages.phrases import (
    HandsRead,
    HourOfDay,
    Phrases,
    Speaking,
    Templates,
    ToSay,
    Why,
    WhyTempting,
    templates,
)

LONGEST_S = 10.0
"""What a class can listen to without losing the beginning (common practice, no source)."""

WORDS_PER_MIN = 130
"""A pace for young listeners (from memory, weak)."""

# Seconds for a word, for a comma or colon, and for a sentence, rounded from least-squares fits to 1200
# reasons in five languages as spoken by eSpeak NG at 130 words a minute; single ones differ by up to 2 s.
# Counting aloud has a pause after every number, which a plain count of words does not see.
_WORD_S, _COMMA_S, _SENTENCE_S = 0.28, 0.6, 0.9

# In full; shortened; as short as it gets. A sentence with fewer forms stays at its last.
_CUTS = 3

# At the earlier steps nothing is counted yet; at the later ones the fives are known by heart.
_COUNTS_FIVES = frozenset(("fives-past", "fives-to", "elapsed", "day-parts"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """
    One sentence of a reason.

    Attributes
    ----------
    written : str
        The caption, with numerals and counts in digits.
    speech : str
        The text for a speech engine, without a digit.
    cue : Cue
        What the picture shows meanwhile.
    stops : tuple of Stop
        Where the hour and the minutes of a time begin in `speech`.
    """

    written: str
    speech: str
    cue: Cue
    stops: tuple[Stop, ...] = ()


def told(wanted: ToSay | Why, words: Phrases, speaking: Speaking) -> Iterable[Phrase | Clause]:
    """Return the sentences of one thing to say, in the language of `words`."""
    match wanted:
        case HandsRead(time):
            return reason(
                time,
                step=speaking.step,
                language=words.language,
                register=speaking.registers[0],
                numerals=speaking.numerals,
            )
        case WhyTempting(wrong, right):
            why = why_wrong(
                wrong,
                right,
                language=words.language,
                registers=speaking.registers,
                numerals=speaking.numerals,
            )
            return (why,)
        case HourOfDay(day_time):
            return words.hour_of_day(day_time)
        case _:
            return (words.words(wanted, speaking),)


def reason(
    time: ClockTime, *, step: Step, language: Language, register: Register, numerals: Numerals = "arabic"
) -> tuple[Clause, ...]:
    """
    Why it is this time, read off the hands at the child's level, as fully as ten seconds allow.

    Parameters
    ----------
    step : Step
        At the steps of fives the minutes are counted in fives; later the last five is known and the ones
        are added; before, quarters and halves are named.
    register : str
        "digital" ends on "four forty" and counts on from the hour; "analogue" ends on "twenty to five" and
        counts back from the coming hour.
    numerals : str
        What stands on the dial: the caption writes its numerals so, and they are said as ever.

    Returns
    -------
    tuple of Clause
        One clause for each hand, the long one first at o'clock, and one for the time.
    """
    words = templates(language.code)
    clauses: tuple[Clause, ...] = ()
    # As little is cut as fits, and first what is said of the long hand: the short one is harder to read.
    cuts = product(range(_CUTS), repeat=2)
    for cut_short, cut_long in sorted(cuts, key=lambda cut: (max(cut), sum(cut), cut)):
        speaker = _Speaker(
            words=words, language=language, cut_short=cut_short, cut_long=cut_long, numerals=numerals
        )
        clauses = (*_hands(time, step, register, speaker), speaker.reading(time, register))
        if _spoken_s(" ".join(clause.speech for clause in clauses)) <= LONGEST_S:
            break
    return clauses


def why_wrong(
    wrong: ClockTime,
    time: ClockTime,
    *,
    language: Language,
    registers: Sequence[Register],
    numerals: Numerals = "arabic",
) -> Clause:
    """
    How one comes to a wrong reading: about the reading, never about the child.

    A mix-up is told only where doing exactly what its sentence says, on this dial, gives exactly the words of
    the wrong reading. Where none does, the sentence only points at the ghost of the dial.

    Parameters
    ----------
    registers : sequence of str
        How the class reads times, the main register first. A mix-up that is only true of the reading in a
        later one is told with that reading.
    numerals : str
        What stands on the dial.

    Raises
    ------
    ClockError
        If the reading is the right one.
    """
    if wrong == time:
        raise ClockError(f"{wrong} is the right reading, so there is nothing wrong to explain.")
    words = templates(language.code)
    sentence, register = words.plain, registers[0]
    manners = {read_off(language.manner(each), numerals): each for each in registers}
    told = told_of(time, wrong, tuple(manners))
    if told:
        mixup, manner = told
        sentence, register = words.wrong[mixup], manners[manner]
    phrase = language.phrase(wrong, register)
    one, other = (_named_numeral(each, language, register, numerals) for each in (time, wrong))
    said = fill(sentence, {"wrong": phrase, "Wrong": _begun(phrase), "one": one, "other": other})
    return Clause(written=said.written, speech=said.speech, cue=GhostDial(wrong), stops=said.stops)


def _named_numeral(time: ClockTime, language: Language, register: Register, numerals: Numerals) -> Phrase:
    """Return the numeral that a reading names as the hour, written as it stands on the dial."""
    hour = language.named_hour(time, register)
    return Phrase(written=numeral_on_dial(hour, numerals), speech=language.number(hour))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Speaker:
    """Fills one language's sentences, cut by so many forms from the fullest."""

    words: Templates
    language: Language
    cut_short: int
    cut_long: int
    numerals: Numerals

    def short(self, key: str, cue: Cue, *, hour: int) -> Clause:
        """Speak about the short hand."""
        template = _cut(self.words.short[key], self.cut_short)
        return self._filled(template, cue, hour=hour, next=coming_hour(hour))

    def long(
        self, key: str, cue: Cue, *, numeral: int = 12, fives: Sequence[int] = (), ones: Sequence[int] = ()
    ) -> Clause:
        """Speak about the long hand: a numeral, the fives counted, and the ones after them."""
        return self._filled(_cut(self.words.long[key], self.cut_long), cue, fives, ones, numeral=numeral)

    def reading(self, time: ClockTime, register: Register) -> Clause:
        """Say the time itself."""
        phrase = _begun(self.language.phrase(time, register))
        return Clause(
            written=f"{phrase.written}.",
            speech=f"{phrase.speech}.",
            cue=ShowReading(time, self.language.named_hour(time, register)),
            stops=phrase.stops,
        )

    def _filled(
        self,
        template: str,
        cue: Cue,
        fives: Sequence[int] = (),
        ones: Sequence[int] = (),
        **numerals: int,
    ) -> Clause:
        number = self.language.number
        written = template.format(
            **self._counts([str(n) for n in fives], [str(n) for n in ones]),
            **{key: numeral_on_dial(n, self.numerals) for key, n in numerals.items()},
        )
        speech = template.format(
            **self._counts([number(n) for n in fives], [number(n) for n in ones]),
            **{key: self._numeral(n) for key, n in numerals.items()},
        )
        return Clause(written=_sentence(written), speech=_sentence(speech), cue=cue)

    def _numeral(self, n: int) -> str:
        word = self.language.number(n)
        return _sentence(word) if self.words.numeral_nouns else word

    def _counts(self, fives: Sequence[str], ones: Sequence[str]) -> dict[str, str]:
        """Return the whole count, and its first number and the rest apart; the last of the ones joins in."""
        if not fives:
            return {"count": ", ".join(ones), "first": "", "rest": ""}
        joined = self.words.ones.format(ones=ones[-1]) if ones else ""
        return {
            "count": ", ".join(fives) + joined,
            "first": fives[0],
            "rest": ", ".join(fives[1:]) + joined,
        }


def _hands(time: ClockTime, step: Step, register: Register, speaker: _Speaker) -> tuple[Clause, Clause]:
    if time.minute == 0:
        return (
            speaker.long("up", HandPulse("minute")),
            speaker.short("at", HandPulse("hour"), hour=time.hour),
        )
    words = spoken(time, speaker.language.manner(register))
    return (
        _short_hand(time, words, speaker),
        _long_hand(time, words, register, step.code in _COUNTS_FIVES, speaker),
    )


def _short_hand(time: ClockTime, words: Spoken, speaker: _Speaker) -> Clause:
    if words.hour != time.hour:
        key = "coming"
    elif time.minute <= 5:
        key = "just"
    else:
        key = "nearly" if time.minute >= 55 else "passed"
    return speaker.short(key, HourSector(time.hour, lit=words.hour), hour=time.hour)


def _long_hand(
    time: ClockTime, words: Spoken, register: Register, counts_fives: bool, speaker: _Speaker
) -> Clause:
    """Say how the minutes of the reading are counted, or name the quarter or the half."""
    back, numeral_at_hand = words.towards == "to", time.minute // 5
    cue = MinuteCount(words.towards, time.minute, origin=words.origin)
    if register == "analogue" and time.minute == 30:
        return speaker.long("half", replace(cue, towards="past", origin=12))
    if register == "analogue" and words.distance == 15:
        return speaker.long(f"quarter-{words.towards}", cue, numeral=numeral_at_hand)
    fives, ones = divmod(words.distance, 5)
    whole = (words.origin + (-fives if back else fives)) % 12 or 12
    if not fives:
        # Three or four single marks take long to count aloud.
        aloud = not speaker.cut_long
        key = {(True, False): "from", (True, True): "back", (False, False): "marks"}.get(
            (aloud, back), "marks-back"
        )
        numbers = range(1 if aloud else ones, ones + 1)
        counted = tuple((_mark(words, n), n) for n in numbers)
        return speaker.long(key, replace(cue, counted=counted), numeral=words.origin, ones=numbers)
    if ones:
        counted = ((_mark(words, 5 * fives), 5 * fives), (time.minute, ones))
        # From the half hour the start has to be named, or "five" at the seven would seem wrong.
        key = ("back" if back else "from") if words.from_half else ("more-back" if back else "more")
        return speaker.long(
            key,
            replace(cue, counted=counted),
            numeral=words.origin if words.from_half else whole,
            fives=[5 * fives],
            ones=range(1, ones + 1),
        )
    first = _first_five(fives, counts_fives, speaker)
    said = range(5 * first, words.distance + 1, 5)
    cue = replace(cue, counted=tuple((_mark(words, n), n) for n in said))
    if first == 1 and (counts_fives or words.from_half):
        return speaker.long("back" if back else "from", cue, numeral=words.origin, fives=said)
    key = "then" if first < fives else "at"
    numeral = (words.origin + (-first if back else first)) % 12 or 12
    return speaker.long(f"{key}-back" if back else key, cue, numeral=numeral, fives=said)


def _first_five(fives: int, counts_fives: bool, speaker: _Speaker) -> int:
    """
    Return the five at which the count is taken up: the first, a quarter, or the last.

    All are counted from where counting starts up to four. A longer count begins with the quarter before:
    "at three it is fifteen, then twenty, twenty-five" says what that numeral stands for, so that no numeral
    is counted as one five. Where even that is too long to be listened to, the last five is named alone.
    """
    if not counts_fives or speaker.cut_long > 1:
        return fives
    if fives <= 4 and not speaker.cut_long:
        return 1
    return max(1, fives // 3 * 3)


def _mark(words: Spoken, minutes: int) -> int:
    """Return the minute mark at which a count from the origin of this reading has reached so many minutes."""
    return (5 * words.origin + (-minutes if words.towards == "to" else minutes)) % 60


def _cut(forms: Sequence[str], cut: int) -> str:
    return forms[min(cut, len(forms) - 1)]


def _spoken_s(text: str) -> float:
    """How long a reason takes to say, in seconds, by words alone or with its pauses, whichever is longer."""
    # "Twenty-five" is heard as two words, "o'clock" as one.
    words = len(re.findall(r"[\w']+", text))
    paused_s = _WORD_S * words + _COMMA_S * len(re.findall("[,:]", text)) + _SENTENCE_S * text.count(".")
    return max(60 * words / WORDS_PER_MIN, paused_s)


def _begun(phrase: Phrase) -> Phrase:
    """Return a phrase as a sentence begins with it."""
    return replace(phrase, written=_sentence(phrase.written), speech=_sentence(phrase.speech))


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
