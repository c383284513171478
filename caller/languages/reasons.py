"""Reasons built from the hands: the short hand, the long hand, the time; then the wrong choice."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import product

from caller.clock.cues import Cue, GhostDial, HandPulse, HourSector, MinuteCount, ShowReading, Towards
from caller.clock.ladder import Step, step_of
from caller.clock.mixups import MIXUPS
from caller.clock.times import ClockError, ClockTime
from caller.languages import Language, Phrase, Register, Stop, fill
from caller.languages.language import same
from caller.languages.templates import Templates, templates

LONGEST_S = 10.0
"""What a class can listen to without losing the beginning (common practice, no source)."""

WORDS_PER_MIN = 130
"""A pace for young listeners (from memory, weak)."""

# Seconds for a word, for a comma or colon, and for a sentence, rounded from least-squares fits to 1200
# reasons in five languages as spoken by eSpeak NG at 130 words a minute; single ones differ by up to 2 s.
# Counting aloud has a pause after every number, which a plain count of words does not see.
_WORD_S, _COMMA_S, _SENTENCE_S = 0.28, 0.6, 0.9

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


def reason(time: ClockTime, *, step: Step, language: Language, register: Register) -> tuple[Clause, ...]:
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

    Returns
    -------
    tuple of Clause
        One clause for each hand, the long one first at o'clock, and one for the time.
    """
    words = templates(language.code)
    clauses: tuple[Clause, ...] = ()
    # As little is cut as fits, and first what is said of the long hand: the short one is harder to read.
    cuts = product(range(words.lengths), repeat=2)
    for cut_short, cut_long in sorted(cuts, key=lambda cut: (max(cut), sum(cut))):
        speaker = _Speaker(words=words, language=language, cut_short=cut_short, cut_long=cut_long)
        clauses = (*_hands(time, step, register, speaker), speaker.reading(time, register))
        if _spoken_s(" ".join(clause.speech for clause in clauses)) <= LONGEST_S:
            break
    return clauses


def why_wrong(
    wrong: ClockTime, time: ClockTime, mixups: Collection[str], *, language: Language, register: Register
) -> Clause:
    """
    How one comes to a wrong reading: about the reading, never about the child.

    Parameters
    ----------
    mixups : collection of str
        Names of the mix-ups that give it. The best documented one that arises in this register is told;
        with none, the sentence only points at the ghost of the dial.

    Raises
    ------
    ClockError
        If the reading is the right one.
    """
    if wrong == time:
        raise ClockError(f"{wrong} is the right reading, so there is nothing wrong to explain.")
    words = templates(language.code)
    known = [each for each in MIXUPS if each.name in mixups]
    # A false sort key comes first, and the order of MIXUPS holds otherwise.
    known.sort(key=lambda each: register not in each.registers)
    sentence, how = (
        (words.wrong, words.how[_as_counted(known[0].name, time, language, register)])
        if known
        else (words.plain, "")
    )
    phrase = language.phrase(wrong, register)
    told = fill(sentence, {"wrong": phrase, "Wrong": _begun(phrase), "how": same(how)})
    return Clause(written=told.written, speech=told.speech, cue=GhostDial(wrong), stops=told.stops)


_COUNTED_BACK = {
    "fives-one-more": "fives-one-less",
    "fives-one-less": "fives-one-more",
    "ones-one-more": "ones-one-less",
    "ones-one-less": "ones-one-more",
}


def _as_counted(mixup: str, time: ClockTime, language: Language, register: Register) -> str:
    """Return the miscount as the child made it: counting back, one too few past is one too many to."""
    told = reason(time, step=step_of(time), language=language, register=register)
    counts_back = any(isinstance(clause.cue, MinuteCount) and clause.cue.towards == "to" for clause in told)
    return _COUNTED_BACK.get(mixup, mixup) if counts_back else mixup


@dataclass(frozen=True, slots=True, kw_only=True)
class _Speaker:
    """Fills one language's sentences, cut by so many forms from the fullest."""

    words: Templates
    language: Language
    cut_short: int
    cut_long: int

    def short(self, key: str, cue: Cue, *, hour: int) -> Clause:
        """Speak about the short hand."""
        template = _cut(self.words.short[key], self.cut_short)
        return self._filled(template, cue, hour=hour, next=hour % 12 + 1)

    def long(
        self, key: str, cue: Cue, *, numeral: int = 12, fives: Sequence[int] = (), ones: int = 0
    ) -> Clause:
        """Speak about the long hand: its numeral, the fives counted, and the ones after them."""
        return self._filled(_cut(self.words.long[key], self.cut_long), cue, fives, ones, numeral=numeral)

    def reading(self, time: ClockTime, register: Register) -> Clause:
        """Say the time itself."""
        phrase = _begun(self.language.phrase(time, register))
        return Clause(
            written=f"{phrase.written}.",
            speech=f"{phrase.speech}.",
            cue=ShowReading(time),
            stops=phrase.stops,
        )

    def _filled(
        self, template: str, cue: Cue, fives: Sequence[int] = (), ones: int = 0, **numerals: int
    ) -> Clause:
        number = self.language.number
        written = template.format(
            count=self._count([str(n) for n in fives], [str(n) for n in range(1, ones + 1)]), **numerals
        )
        speech = template.format(
            count=self._count([number(n) for n in fives], [number(n) for n in range(1, ones + 1)]),
            **{key: self._numeral(n) for key, n in numerals.items()},
        )
        return Clause(written=_sentence(written), speech=_sentence(speech), cue=cue)

    def _numeral(self, n: int) -> str:
        word = self.language.number(n)
        return _sentence(word) if self.words.numeral_nouns else word

    def _count(self, fives: Sequence[str], ones: Sequence[str]) -> str:
        """Join the last of the ones to the fives; ones alone are counted out."""
        if not fives:
            return ", ".join(ones)
        return ", ".join(fives) + (self.words.ones.format(ones=ones[-1]) if ones else "")


def _hands(time: ClockTime, step: Step, register: Register, speaker: _Speaker) -> tuple[Clause, Clause]:
    if time.minute == 0:
        return (
            speaker.long("up", HandPulse("minute")),
            speaker.short("at", HandPulse("hour"), hour=time.hour),
        )
    counts_fives = step.code in _COUNTS_FIVES
    long_hand = _counted_on if register == "digital" else _counted_from_named_hour
    return _short_hand(time, register, speaker), long_hand(time.minute, counts_fives, speaker)


def _short_hand(time: ClockTime, register: Register, speaker: _Speaker) -> Clause:
    last_of_passed_hour = 20 if speaker.words.counts_from_half else 30
    if register == "analogue" and time.minute > last_of_passed_hour:
        key = "coming"
    elif time.minute <= 5:
        key = "just"
    else:
        key = "nearly" if time.minute >= 55 else "passed"
    return speaker.short(key, HourSector(time.hour), hour=time.hour)


def _counted_on(minute: int, counts_fives: bool, speaker: _Speaker) -> Clause:
    """The long hand for a digital reading: counted on from the hour."""
    fives, ones = divmod(minute, 5)
    if ones and fives:
        cue = MinuteCount(0, ones, "past", origin=fives, counted=5 * fives)
        return speaker.long("more", cue, numeral=fives, fives=[5 * fives], ones=ones)
    if ones:
        return speaker.long("from", MinuteCount(0, ones, "past"), ones=ones)
    if not counts_fives or fives in (6, 9):
        return speaker.long("at", MinuteCount(fives, 0, "past"), numeral=fives, fives=[minute])
    start = _landmark(fives)
    cue = MinuteCount(fives - start, 0, "past", origin=start or 12, counted=5 * start)
    return speaker.long("from", cue, numeral=start or 12, fives=range(5 * start or 5, minute + 1, 5))


def _counted_from_named_hour(minute: int, counts_fives: bool, speaker: _Speaker) -> Clause:
    """The long hand for an analogue reading: counted from the hour or half hour that is named."""
    if minute == 30:
        return speaker.long("half", MinuteCount(6, 0, "past"))
    origin, signed = _distance(minute, speaker.words)
    towards: Towards = "past" if signed > 0 else "to"
    fives, ones = divmod(abs(signed), 5)
    if abs(signed) == 15:
        return speaker.long(f"quarter-{towards}", MinuteCount(3, 0, towards), numeral=minute // 5)
    key = "from" if towards == "past" else "back"
    if counts_fives and not ones:
        start = _landmark(fives)
        numeral = (origin + (start if towards == "past" else -start)) % 12 or 12
        cue = MinuteCount(fives - start, 0, towards, origin=numeral, counted=5 * start)
        return speaker.long(key, cue, numeral=numeral, fives=range(5 * start or 5, 5 * fives + 1, 5))
    cue = MinuteCount(fives, ones, towards, origin=origin)
    return speaker.long(key, cue, numeral=origin, fives=[5 * fives] if fives else (), ones=ones)


def _landmark(fives: int) -> int:
    """The fives already counted where a count is taken up: at a quarter, once a whole count is too long."""
    return 0 if fives <= 4 else (fives - 1) // 3 * 3


def _distance(minute: int, words: Templates) -> tuple[int, int]:
    """The numeral from which the minutes are counted, and how many; below zero when counted back."""
    if words.counts_from_half and 20 < minute < 40:
        return 6, minute - 30
    return 12, minute if minute < 30 else minute - 60


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
