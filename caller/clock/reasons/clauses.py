"""Reasons built from the hands: the short hand, the long hand, the time; then the wrong choice."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from caller.clock.cues import Cue, GhostDial, HandPulse, HourSector, MinuteCount, ShowReading, Towards
from caller.clock.ladder import Step
from caller.clock.mixups import MIXUPS
from caller.clock.reasons.templates import Templates, templates
from caller.clock.times import ClockError, ClockTime
from caller.clock.wording import Language, Register

# At the earlier steps nothing is counted yet; at the later ones the fives are known by heart.
_COUNTS_FIVES = frozenset(("fives-past", "fives-to", "elapsed", "day-parts"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """
    One sentence of a reason.

    Attributes
    ----------
    written : str
        The caption, with the numbers in digits.
    speech : str
        The text for a speech engine, without a digit.
    cue : Cue
        What the picture shows meanwhile.
    """

    written: str
    speech: str
    cue: Cue


def reason(time: ClockTime, *, step: Step, language: Language, register: Register) -> tuple[Clause, ...]:
    """
    Why it is this time, read off the hands at the child's level; at most ten seconds to say.

    Parameters
    ----------
    step : Step
        At the steps of fives the minutes are counted in fives; later the last five is known, and the ones
        are added; before, quarters and halves are named.
    register : str
        "digital" ends on "four forty" and counts on from the hour; "analogue" ends on "twenty to five" and
        counts back from the coming hour.
    """
    words = templates(language.code)
    if time.minute == 0:
        hands = (
            _clause(words, language, words.long["up"], HandPulse("minute"), numeral=12),
            _clause(words, language, words.short["at"], HandPulse("hour"), hour=time.hour),
        )
    elif register == "digital":
        hands = (_short_hand(time, words, language, register), _digital(time, step, words, language))
    else:
        hands = (_short_hand(time, words, language, register), _analogue(time, step, words, language))
    phrase = language.phrase(time, register)
    ending = Clause(
        written=f"{_sentence(phrase.written)}.", speech=f"{_sentence(phrase.speech)}.", cue=ShowReading(time)
    )
    return (*hands, ending)


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
    """
    if wrong == time:
        raise ClockError(f"{wrong} is the right reading, so there is nothing wrong to explain.")
    words = templates(language.code)
    known = [each for each in MIXUPS if each.name in mixups]
    # A false sort key comes first, and the order of MIXUPS holds otherwise.
    known.sort(key=lambda each: register not in each.registers)
    phrase = language.phrase(wrong, register)

    def told(reading: str) -> str:
        if not known:
            return words.plain.format(wrong=reading, Wrong=_sentence(reading))
        return words.wrong.format(wrong=reading, Wrong=_sentence(reading), how=words.how[known[0].name])

    return Clause(written=told(phrase.written), speech=told(phrase.speech), cue=GhostDial(wrong))


def _short_hand(time: ClockTime, words: Templates, language: Language, register: Register) -> Clause:
    names_coming = register == "analogue" and time.minute > (20 if words.counts_from_half else 30)
    if names_coming:
        key = "coming"
    elif time.minute <= 5:
        key = "just"
    else:
        key = "nearly" if time.minute >= 55 else "passed"
    sector = HourSector(time.hour)
    return _clause(words, language, words.short[key], sector, hour=time.hour, next=time.hour % 12 + 1)


def _digital(time: ClockTime, step: Step, words: Templates, language: Language) -> Clause:
    """The long hand, counted on from the hour."""
    fives, ones = divmod(time.minute, 5)
    if ones:
        counted = [5 * fives] if fives else []
        cue = MinuteCount(0, ones, "past", origin=fives or 12, counted=5 * fives)
        template = words.long["from"]
        return _clause(words, language, template, cue, numeral=fives or 12, count=counted, ones=ones)
    if step.code not in _COUNTS_FIVES or fives in (6, 9):
        return _clause(
            words,
            language,
            words.long["at"],
            MinuteCount(fives, 0, "past"),
            numeral=fives,
            count=[time.minute],
        )
    # Past the half hour the count is taken up at six or nine: a whole walk from twelve takes too long to say.
    start = 0 if fives < 6 else (6 if fives < 9 else 9)
    cue = MinuteCount(fives - start, 0, "past", origin=start or 12, counted=5 * start)
    count = [5 * numeral for numeral in range(start or 1, fives + 1)]
    return _clause(words, language, words.long["from"], cue, numeral=start or 12, count=count)


def _analogue(time: ClockTime, step: Step, words: Templates, language: Language) -> Clause:
    """The long hand, counted from the hour or half hour that the language names."""
    if time.minute == 30:
        return _clause(words, language, words.long["half"], MinuteCount(6, 0, "past"))
    origin, towards, distance, key = _way(time.minute, words)
    fives, ones = divmod(distance, 5)
    cue = MinuteCount(fives, ones, towards, origin=origin)
    if distance == 15:
        numeral = 3 if towards == "past" else 9
        return _clause(words, language, words.long[f"quarter-{towards}"], cue, numeral=numeral)
    whole = fives and (not ones and step.code in _COUNTS_FIVES)
    count = list(range(5, distance + 1, 5)) if whole else [5 * fives] * bool(fives)
    return _clause(words, language, words.long[key], cue, numeral=origin, count=count, ones=ones)


def _way(minute: int, words: Templates) -> tuple[int, Towards, int, str]:
    """From which numeral, which way and how far the minutes are counted, and with which sentence."""
    if words.counts_from_half and 20 < minute < 40:
        return (6, "to", 30 - minute, "half-to") if minute < 30 else (6, "past", minute - 30, "half-past")
    return (12, "past", minute, "from") if minute < 30 else (12, "to", 60 - minute, "back")


def _clause(
    words: Templates,
    language: Language,
    template: str,
    cue: Cue,
    *,
    count: Sequence[int] = (),
    ones: int = 0,
    **numerals: int,
) -> Clause:
    """Fill a sentence twice: with digits for the caption, with words for the voice."""

    def noun(n: int) -> str:
        word = language.number(n)
        return _sentence(word) if words.numeral_nouns else word

    def filled(number: Callable[[int], str], numeral: Callable[[int], str]) -> str:
        return template.format(
            count=_counted(words, number, count, ones), **{key: numeral(n) for key, n in numerals.items()}
        )

    return Clause(
        written=_sentence(filled(str, str)), speech=_sentence(filled(language.number, noun)), cue=cue
    )


def _counted(words: Templates, number: Callable[[int], str], fives: Sequence[int], ones: int) -> str:
    """The fives with the ones joined to them; ones alone are counted out."""
    if not fives:
        return ", ".join(number(n) for n in range(1, ones + 1))
    return ", ".join(number(n) for n in fives) + (words.ones.format(ones=number(ones)) if ones else "")


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
