"""English as it is understood, British or American."""

from __future__ import annotations

from tests.reference.grammars.rules import (
    Rule,
    always,
    between,
    day_past,
    dial_past,
    dial_to,
    either_half,
    flip,
    in_part,
    named,
    numeral,
    optional,
    span,
    total,
    word,
)

_units = named(
    {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9}
)
_teens = named(
    {
        "ten": 10,
        "eleven": 11,
        "twelve": 12,
        "thirteen": 13,
        "fourteen": 14,
        "fifteen": 15,
        "sixteen": 16,
        "seventeen": 17,
        "eighteen": 18,
        "nineteen": 19,
    }
)
_tens = named({"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50})
_zero = word("oh", "zero", "nought")
_from_ten = _teens | _tens | (_tens + _units >> total)
_number = _units | _from_ten | (numeral("[0-9]{1,2}") >> between(1, 59))
_digit = _units | (_zero >> always(0))
_figures = optional(word(":")) + numeral("[0-5][0-9]")

_opening = optional(word("it's", "it is", "at"))
_hour = _number >> between(1, 12)
_distance = (_number + optional(word("minute", "minutes"))) | (
    optional(word("a")) + word("quarter") >> always(15)
)
_half = word("half") >> always(30)
_digit_by_digit = (_digit >> between(0, 5)) + _digit >> (lambda tens, units: tens * 10 + units)

_digital = _hour + (_from_ten | _digit_by_digit | _figures) >> dial_past
_hour_named = _hour + optional(word("o'clock", "o clock"))
_o_clock = _hour_named >> dial_past
_relative = ((_distance | _half) + word("past", "after") + _hour_named >> flip(dial_past)) | (
    _distance + word("to", "till", "til", "of", "before") + _hour_named >> flip(dial_to)
)
# "Half four" is British for 4:30. Elsewhere it is not said, and to a child who speaks German it is 3:30.
_half_four = word("half") + _hour >> (lambda hour: dial_past(hour, 30))

_hour_24 = (
    (_number >> between(1, 23)) | (_zero + _units) | ((_zero + optional(_zero) | numeral("00?")) >> always(0))
)
_hundred = word("hundred hours", "hundred") >> always(0)
_no_minutes = _zero + _zero >> always(0)
_day_digital = _hour_24 + (_from_ten | _zero + _units | _no_minutes | _hundred | _figures) >> day_past
_part = span(
    {
        "in the morning": (0, 12),
        "in the afternoon": (12, 19),
        "in the evening": (17, 24),
        "at night": (20, 30),
        "a m": (0, 12),
        "am": (0, 12),
        "p m": (12, 24),
        "pm": (12, 24),
    }
)
_named_time = (word("noon", "twelve noon", "midday") >> always(720)) | (
    word("midnight", "twelve midnight") >> always(0)
)


def _day(dial: Rule) -> Rule:
    unmarked = _day_digital | either_half(_relative | _o_clock)
    return _opening + (_named_time | unmarked | (dial + _part >> in_part))


_american = _digital | _o_clock | _relative
_british = _american | _half_four

BRITISH, BRITISH_DAY = _opening + _british, _day(_british)
AMERICAN, AMERICAN_DAY = _opening + _american, _day(_american)
