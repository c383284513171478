"""How children misread a dial: each documented mix-up as a rule from the true time to the reading given.

A rule works on the words of a manner of speaking. What it gives may be offered and recorded; what is *told*
of it is a sentence ("swapping the hands gives ..."), and that is only true where doing what the sentence says
gives the very words of the wrong reading.

Several mix-ups may give the same wrong reading, so a wrong reading is always kept with the whole set of
mix-ups that explain it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from caller.clock import ClockError, ClockTime, mixup_rules
from caller.clock.ladder import STEP_CODES, Status
from caller.clock.mixup_rules import Rule, Told, always_told
from caller.clock.said_and_shown import Manner, Manners, said_plainly


@dataclass(frozen=True, slots=True, kw_only=True)
class MixUp:
    """
    One systematic misreading.

    Attributes
    ----------
    name : str
        The code that lessons and records use, such as ``"hands-swapped"``.
    title : str
        A short name for teachers.
    explanation : str
        One sentence for teachers: what the child does.
    rule : callable
        True time and manner of speaking to wrong reading, or None where the rule does not apply.
    told : callable
        Whether, at this time and in this manner, doing what its sentence says gives exactly that reading.
    source, status : str
        Who describes it, and how that is known.
    steps : tuple of str
        Codes of the steps at which it matters.
    roman : bool
        It is made on dials with Roman numerals alone.
    """

    name: str
    title: str
    explanation: str
    rule: Rule
    source: str
    status: Status
    steps: tuple[str, ...]
    told: Told = always_told
    roman: bool = False


def _from(first: str, last: str = STEP_CODES[-1]) -> tuple[str, ...]:
    return STEP_CODES[STEP_CODES.index(first) : STEP_CODES.index(last) + 1]


_CPALMS = "Florida Department of Education, CPALMS standard 15298"
_BURNY = "Burny, Valcke & Desoete 2012"
_FAMILY = "Friedman & Laycock 1989; Vakali 1991"
_COMMON = "common practice, no source"

MIXUPS: tuple[MixUp, ...] = (
    MixUp(
        name="hands-swapped",
        title="hands change places",
        explanation="The long hand is read as the hour and the short hand as the minutes.",
        rule=mixup_rules.hands_swapped,
        source=f"{_CPALMS}; clock reading of third graders in Muş, IOJPE",
        status="found",
        steps=_from("o-clock"),
        told=mixup_rules.swap_is_seen,
    ),
    MixUp(
        name="hour-to-nearest",
        title="hour taken to the nearest numeral",
        explanation="The short hand is close to the coming numeral, so that numeral is read as the hour.",
        rule=mixup_rules.hour_to_nearest,
        source=f"{_CPALMS}; Earnest, Gonzales & Plant 2018",
        status="found",
        steps=_from("quarters"),
    ),
    MixUp(
        name="hour-to-larger",
        title="hour taken as the larger numeral",
        explanation="Between two numerals, the one the short hand is going to is read as the hour.",
        rule=mixup_rules.hour_to_larger,
        source=_CPALMS,
        status="found",
        steps=_from("half-past"),
    ),
    MixUp(
        name="numeral-as-minutes",
        title="numeral read as minutes",
        explanation="The numeral at the long hand is read as printed, instead of being counted in fives.",
        rule=mixup_rules.numeral_as_minutes,
        source=f"{_BURNY} (misinterpretation of numbers); {_FAMILY}",
        status="found",
        steps=_from("quarters"),
    ),
    MixUp(
        name="fives-one-more",
        title="the count one five ahead",
        explanation="The fives are counted with the twelve as the first five.",
        rule=mixup_rules.fives(5),
        source=f"{_CPALMS}; {_BURNY}",
        status="found",
        steps=_from("fives-past"),
    ),
    MixUp(
        name="fives-one-less",
        title="the count one five behind",
        explanation="The count of fives starts at the one instead of the twelve, or misses a numeral.",
        rule=mixup_rules.fives(-5),
        source=f"{_CPALMS}; {_BURNY}",
        status="found",
        steps=_from("fives-past"),
    ),
    MixUp(
        name="ones-one-more",
        title="the count one minute ahead",
        explanation="The single marks are counted with the starting mark as one.",
        rule=mixup_rules.ones(1),
        source=f"{_BURNY} (miscounting)",
        status="found",
        steps=("minutes", "near-the-hour"),
    ),
    MixUp(
        name="ones-one-less",
        title="the count one minute behind",
        explanation="A single mark is missed in the count.",
        rule=mixup_rules.ones(-1),
        source=f"{_BURNY} (miscounting)",
        status="found",
        steps=("minutes", "near-the-hour"),
    ),
    MixUp(
        name="minute-numeral-as-hour",
        title="hour read at the long hand",
        explanation="The minutes are right, but the hour is read at the long hand too.",
        rule=mixup_rules.minute_numeral_as_hour,
        source=_FAMILY,
        status="from memory",
        steps=_from("o-clock"),
        told=mixup_rules.on_a_numeral,
    ),
    MixUp(
        name="past-for-to",
        title="past and to change places",
        explanation='The minutes and the hour word are right, but "past" and "to" change places.',
        rule=mixup_rules.past_for_to,
        source=f"{_BURNY}; {_FAMILY}",
        status="from memory",
        steps=_from("quarters"),
    ),
    MixUp(
        name="to-keeps-passed-hour",
        title="the hour that has passed",
        explanation='The hour that has passed is named where the coming one is right: "to", German "halb".',
        rule=mixup_rules.passed_hour_named,
        source="Burny, Valcke & Desoete 2009",
        status="from memory",
        steps=_from("half-past"),
    ),
    MixUp(
        name="half-names-coming-hour",
        title="half past said with the coming hour",
        explanation='At half past the coming hour is named, as German does: "halb fünf" is 4:30.',
        rule=mixup_rules.half_names_coming_hour,
        source=_COMMON,
        status="from memory",
        steps=_from("half-past"),
    ),
    MixUp(
        name="counted-backwards",
        title="counted the wrong way round",
        explanation="The minutes are counted the wrong way round the dial, with the hour kept.",
        rule=mixup_rules.counted_backwards,
        source=_FAMILY,
        status="weak, from memory",
        steps=_from("fives-past"),
    ),
    MixUp(
        name="hands-swapped-closely",
        title="hands change places, read closely",
        explanation="The hands change places, and the short hand is read to the single mark it has reached.",
        rule=mixup_rules.hands_swapped_closely,
        source=_FAMILY,
        status="from memory",
        steps=("minutes", "near-the-hour"),
        told=mixup_rules.close_swap_is_seen,
    ),
    MixUp(
        name="to-nearest-five-back",
        title="single minutes left out",
        explanation="The fives are counted, and the single minutes after them are left out.",
        rule=mixup_rules.ones_left_out,
        source=_FAMILY,
        status="from memory",
        steps=("minutes", "near-the-hour"),
    ),
    MixUp(
        name="to-nearest-five-on",
        title="rounded on to a five",
        explanation="The single minutes are rounded up to the next numeral.",
        rule=mixup_rules.rounded_on,
        source=_FAMILY,
        status="from memory",
        steps=("minutes", "near-the-hour"),
    ),
    MixUp(
        name="zero-moved",
        title="zero dropped or added",
        explanation="The zero of the minutes is dropped or put on the other side: 3:05 becomes 3:50.",
        rule=mixup_rules.zero_moved,
        source=_FAMILY,
        status="from memory",
        steps=_from("fives-past"),
    ),
    MixUp(
        name="numeral-as-tens",
        title="numeral read as tens",
        explanation="The numerals at the long hand are counted in tens instead of fives.",
        rule=mixup_rules.numeral_as_tens,
        source=_FAMILY,
        status="from memory",
        steps=_from("fives-past"),
    ),
    MixUp(
        name="hour-kept-after-the-hour",
        title="hour not moved on",
        explanation="Just after the hour the short hand is taken to belong still to the hour before.",
        rule=mixup_rules.hour_kept_after,
        source=_COMMON,
        status="no source",
        steps=_from("fives-past"),
    ),
    MixUp(
        name="counted-from-hour-hand",
        title="counted from the short hand",
        explanation="The minutes are counted from the short hand instead of from twelve.",
        rule=mixup_rules.counted_from_hour_hand,
        source=_FAMILY,
        status="weak, from memory",
        steps=_from("fives-past"),
    ),
    MixUp(
        name="money-fractions",
        title="quarter taken for 25",
        explanation="A quarter is taken for 25, as with money.",
        rule=mixup_rules.money_fractions,
        source=_COMMON,
        status="weak, from memory",
        steps=_from("quarters"),
    ),
    MixUp(
        name="joined-as-digits",
        title="both numerals joined into one hour",
        explanation="The numerals at the two hands are read side by side: 1 and 2 become twelve.",
        rule=mixup_rules.joined_as_digits,
        source=_COMMON,
        status="from memory",
        steps=_from("o-clock"),
    ),
    MixUp(
        name="look-alike-numeral",
        title="Roman numerals mixed up",
        explanation="On a dial with Roman numerals IV and VI, or IX and XI, are taken for each other.",
        rule=mixup_rules.look_alike,
        source=_COMMON,
        status="no source",
        steps=_from("o-clock"),
        told=mixup_rules.look_alike_is_the_hour,
        roman=True,
    ),
)
"""All dial mix-ups, best documented first."""


def mixup(name: str) -> MixUp:
    """
    The mix-up with this name.

    Raises
    ------
    ClockError
        If there is none.
    """
    for each in MIXUPS:
        if each.name == name:
            return each
    raise ClockError(f'There is no mix-up "{name}": they are {", ".join(m.name for m in MIXUPS)}.')


def wrong_readings(time: ClockTime, manners: Manners) -> dict[ClockTime, frozenset[str]]:
    """
    Every wrong reading the mix-ups give for this time, with the names of all that give it.

    Parameters
    ----------
    manners : collection of str
        How the class says times: a slip of any of them counts.
    """
    explained: dict[ClockTime, set[str]] = {}
    for manner in manners:
        for name, wrong, _ in _slips(time, manner):
            explained.setdefault(wrong, set()).add(name)
    return {wrong: frozenset(names) for wrong, names in explained.items()}


@cache
def _slips(time: ClockTime, manner: Manner) -> tuple[tuple[str, ClockTime, bool], ...]:
    """All that the mix-ups give here, best documented first: name, reading, and whether it may be told."""
    said = said_plainly(manner)
    given = ((each, each.rule(time, said)) for each in MIXUPS if said != manner or not each.roman)
    return tuple((each.name, wrong, each.told(time, said)) for each, wrong in given if wrong is not None)


def explained_by(true: ClockTime, wrong: ClockTime, manners: Manners) -> frozenset[str]:
    """The names of all mix-ups that turn the true time into this wrong reading; empty if none does."""
    return wrong_readings(true, manners).get(wrong, frozenset())


def told_of(true: ClockTime, wrong: ClockTime, manners: Sequence[Manner]) -> tuple[str, Manner] | None:
    """
    The mix-up to tell of a wrong reading, and the manner in which the reading is then said.

    Only a mix-up that is true as told is returned: doing what its sentence says, on this dial, gives exactly
    these words. An earlier manner goes before a later one, the best documented mix-up before others.

    Returns
    -------
    tuple of str or None
        None where no sentence would be true: then the reading is shown, and nothing is said of how one
        comes to it.
    """
    for manner in manners:
        for name, given, told in _slips(true, manner):
            if told and given == wrong:
                return name, manner
    return None
