"""French as it is understood. Accents and hyphens are gone by the time a grammar sees the words."""

from __future__ import annotations

from tests.reference.grammars.rules import (
    always,
    between,
    day_past,
    day_to,
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

_one = named({"une": 1})
_units = named({"deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "six": 6, "sept": 7, "huit": 8, "neuf": 9})
_teens = named({"dix": 10, "onze": 11, "douze": 12, "treize": 13, "quatorze": 14, "quinze": 15, "seize": 16})
_tens = named({"vingt": 20, "trente": 30, "quarante": 40, "cinquante": 50})
_from_two = (
    _units
    | _teens
    | (word("dix") + named({"sept": 17, "huit": 18, "neuf": 19}))
    | _tens
    | (_tens + _units >> total)
    | (_tens + word("et") + _one >> total)
    | (numeral("[0-9]{1,2}") >> between(2, 59))
)
_single = (_one | numeral("0?1")) >> always(1)
_zero = (word("zero") | numeral("00?")) >> always(0)
_minutes = (_single + optional(word("minute"))) | (_from_two + optional(word("minutes")))
_figures = word(":") + numeral("[0-5][0-9]")

_opening = optional(word("il est", "a"))
_hour = (_single + word("heure", "h")) | ((_from_two >> between(2, 12)) + word("heures", "h"))
# "Vingte heures" is "vingt heures" with its liaison spelled out for speech engines.
_twenty_joined = word("vingte") >> always(20)
_hour_24 = (
    (_single + word("heure", "h"))
    | ((_twenty_joined | _from_two >> between(2, 23)) + word("heures", "h"))
    | (_zero + word("heure", "h"))
)
# A dial shows the same at noon and at midnight.
_noon_or_midnight = word("midi", "minuit") >> always(12)
_noon = word("midi") >> always(12)
_midnight = word("minuit") >> always(0)

_before = word("moins") + (_minutes | (word("le quart", "un quart") >> always(15)))
_after = _minutes | _zero + optional(_minutes) >> total
_quarter = word("et quart", "un quart") >> always(15)
_half = word("et demie") >> always(30)
# "Midi" and "minuit" are masculine, yet "et demie" is often written after them.
_half_noon = word("et demi", "et demie") >> always(30)

_digital = (_hour + optional(_after) | numeral("[1-9]|1[0-2]") + _figures) >> dial_past
_relative = (_hour + (_quarter | _half) >> dial_past) | (_hour + _before >> dial_to)
_by_noon = (_noon_or_midnight + optional(_after | _quarter | _half_noon) >> dial_past) | (
    _noon_or_midnight + _before >> dial_to
)

_day_digital = (_hour_24 + optional(_after) | numeral("[01]?[0-9]|2[0-3]") + _figures) >> day_past
_day_by_noon = ((_noon | _midnight) + optional(_after | _quarter | _half_noon) >> day_past) | (
    (_noon | _midnight) + _before >> day_to
)
_part = span({"du matin": (0, 12), "de l'apres midi": (12, 19), "du soir": (17, 24)})

FRENCH = _opening + (_digital | _relative | _by_noon)
FRENCH_DAY = _opening + (
    _day_digital | either_half(_relative) | _day_by_noon | ((_digital | _relative) + _part >> in_part)
)
