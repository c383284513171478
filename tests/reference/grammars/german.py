"""German as it is understood. Capitals and umlauts are gone by the time a grammar sees the words."""

from __future__ import annotations

from tests.reference.grammars.rules import (
    Rule,
    Step,
    Words,
    always,
    between,
    day_past,
    dial_past,
    dial_to,
    either_half,
    in_part,
    named,
    numeral,
    optional,
    span,
    total,
    word,
)

_UNITS = {"zwei": 2, "drei": 3, "vier": 4, "funf": 5, "sechs": 6, "sieben": 7, "acht": 8, "neun": 9}
_TENS = {"zwanzig": 20, "dreissig": 30, "vierzig": 40, "funfzig": 50}


def _compound() -> Rule:
    """Take a number written as one word with its units first: funfundzwanzig."""

    def find(words: Words, at: int) -> Step:
        for tens_word, tens in _TENS.items():
            if at < len(words) and words[at].endswith(f"und{tens_word}"):
                units = {"ein": 1, **_UNITS}.get(words[at].removesuffix(f"und{tens_word}"))
                if units is not None:
                    yield (tens + units,), at + 1

    return Rule(find)


_from_two = (
    named(_UNITS)
    | named({"zwo": 2, "zehn": 10, "elf": 11, "zwolf": 12, "dreizehn": 13, "vierzehn": 14, "funfzehn": 15})
    | named({"sechzehn": 16, "siebzehn": 17, "achtzehn": 18, "neunzehn": 19})
    | named(_TENS)
    | _compound()
    | (numeral("[0-9]{1,2}") >> between(2, 59))
)
_single = (word("eins") | numeral("0?1")) >> always(1)
_zero = (word("null") | numeral("00?")) >> always(0)
_figures = word(":") + numeral("[0-5][0-9]") + optional(word("uhr"))

_opening = optional(word("es ist", "um"))
_hour_alone = _single | (_from_two >> between(2, 12))
_o_clock = word("uhr")
_one_o_clock = (word("ein") | numeral("0?1")) + _o_clock >> always(1)
_hour = _one_o_clock | ((_from_two >> between(2, 12)) + _o_clock)
_hour_24 = _one_o_clock | ((_from_two >> between(2, 23)) | _zero) + _o_clock

_minutes = _single | _from_two | _zero + optional(_single | _from_two) >> total
_distance = (
    (word("eine minute") >> always(1))
    | ((_single | _from_two) + optional(word("minuten")))
    | (word("viertel") >> always(15))
)
_half = word("halb") + _hour_alone >> (lambda hour: dial_to(hour, 30))
_counted_from = _half | (_hour_alone >> dial_past)

_after = _distance + word("nach") + _counted_from >> (lambda minutes, base: dial_past(0, base + minutes))
_before = _distance + word("vor") + _counted_from >> (lambda minutes, base: dial_past(0, base - minutes))
# In the east and the south a quarter is named after the coming hour too: "viertel fünf" is 4:15.
_quarter_of = word("viertel") + _hour_alone >> (lambda hour: dial_to(hour, 45))
_three_quarters_of = word("dreiviertel", "drei viertel") + _hour_alone >> (lambda hour: dial_to(hour, 15))

_digital = (_hour + optional(_minutes) | _hour_alone + _figures) >> dial_past
_bare = _hour_alone >> dial_past
_relative = _half | _after | _before | _quarter_of | _three_quarters_of

_day_hour_figures = numeral("[01]?[0-9]|2[0-3]")
_day_digital = (_hour_24 + optional(_minutes) | _day_hour_figures + _figures) >> day_past
_part = span(
    {
        "morgens": (0, 12),
        "am morgen": (0, 12),
        "vormittags": (6, 13),
        "am vormittag": (6, 13),
        "mittags": (11, 15),
        "am mittag": (11, 15),
        "nachmittags": (12, 19),
        "am nachmittag": (12, 19),
        "abends": (17, 24),
        "am abend": (17, 24),
        "nachts": (21, 30),
        "in der nacht": (21, 30),
    }
)
_named_time = (word("mitternacht") >> always(0)) | (word("mittag") >> always(720))

GERMAN = _opening + (_digital | _bare | _relative)
GERMAN_DAY = _opening + (
    _named_time
    | _day_digital
    | either_half(_bare | _relative)
    | ((_digital | _bare | _relative) + _part >> in_part)
)
