"""Spanish as it is understood. Accents are gone by the time a grammar sees the words."""

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

_one = named({"uno": 1, "un": 1})
_one_hour = named({"una": 1})
_units = named({"dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "ocho": 8, "nueve": 9})
_ten_to_twenty = named(
    {
        "diez": 10,
        "once": 11,
        "doce": 12,
        "trece": 13,
        "catorce": 14,
        "quince": 15,
        "dieciseis": 16,
        "diecisiete": 17,
        "dieciocho": 18,
        "diecinueve": 19,
        "veinte": 20,
    }
)
_twenties = named(
    {
        "veintidos": 22,
        "veintitres": 23,
        "veinticuatro": 24,
        "veinticinco": 25,
        "veintiseis": 26,
        "veintisiete": 27,
        "veintiocho": 28,
        "veintinueve": 29,
    }
)
_tens = named({"treinta": 30, "cuarenta": 40, "cincuenta": 50})
_from_ten = (
    _ten_to_twenty
    | _twenties
    | named({"veintiuno": 21, "veintiun": 21})
    | _tens
    | (_tens + word("y") + (_one | _units) >> total)
)
_written = numeral("[0-9]{1,2}") >> between(1, 59)
_number = _one | _units | _from_ten | _written
_zero = word("cero")
_figures = optional(word(":")) + numeral("[0-5][0-9]")
_minutes = _number + optional(word("minuto", "minutos"))

_opening = optional(word("es", "son", "a"))
_one_o_clock = _one_hour | (_written >> between(1, 1))
_later_hour = (_units | _ten_to_twenty | _written) >> between(2, 12)
# One o'clock is the only hour in the singular, so "las una" is not understood.
_hour = (optional(word("la")) + _one_o_clock) | (optional(word("las")) + _later_hour)
_quarter = word("cuarto") >> always(15)
_half = word("media") >> always(30)

_whole = _hour >> dial_past
_on_the_dot = _hour + word("en punto") >> dial_past
_digital = _hour + (_from_ten | _zero + (_one | _units) | _figures) >> dial_past
_after = _hour + word("y") + (_minutes | _quarter | _half) >> dial_past
_less = _hour + word("menos") + (_minutes | _quarter) >> dial_to
# American Spanish counts towards the hour: "veinte para las cinco".
_towards = optional(word("faltan", "falta")) + (_minutes | optional(word("un")) + _quarter) + word("para") + (
    _hour
) >> flip(dial_to)

_later_hour_24 = (
    (_zero >> always(0))
    | ((_units | _ten_to_twenty | _twenties | _written) >> between(2, 23))
    | named({"veintiuna": 21})
    | (numeral("00?") >> always(0))
)
_hour_24 = (optional(word("la")) + _one_o_clock) | (optional(word("las")) + _later_hour_24)
_day_digital = (_hour_24 + optional(word("horas"))) | (
    _hour_24 + (_from_ten | _zero + (_one | _units) | _figures)
)
_part = span(
    {
        "de la madrugada": (0, 6),
        "de la manana": (0, 12),
        "del mediodia": (12, 16),
        "de la tarde": (12, 21),
        "de la noche": (19, 30),
    }
)
_named_time = (optional(word("el")) + word("mediodia") >> always(720)) | (
    optional(word("la")) + word("medianoche") >> always(0)
)


def _dial(relative: Rule) -> Rule:
    return _opening + (_whole | _on_the_dot | _digital | relative)


def _day(relative: Rule) -> Rule:
    return _opening + (
        _named_time
        | (_day_digital >> day_past)
        | either_half(_on_the_dot | relative)
        | ((_whole | _on_the_dot | _digital | relative) + _part >> in_part)
    )


SPANISH, SPANISH_DAY = _dial(_after | _less | _towards), _day(_after | _less | _towards)
AMERICAN_SPANISH, AMERICAN_SPANISH_DAY = _dial(_after | _towards), _day(_after | _towards)
