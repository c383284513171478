"""What a planned lesson is called, in the language of its calls: the title is said aloud."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

_TITLES: Final[Mapping[str, Mapping[str, str]]] = MappingProxyType(
    {
        "en": {
            "o-clock": "O'clock",
            "half-past": "Half past",
            "quarters": "Quarter past and quarter to",
            "fives-past": "Counting fives past the hour",
            "fives-to": "Counting fives to the hour",
            "minutes": "Every minute counts",
            "near-the-hour": "Just before and just after",
            "elapsed": "Later and earlier",
            "day-parts": "Morning, afternoon and evening",
        },
        "es": {
            "o-clock": "Las horas en punto",
            "half-past": "Las medias horas",
            "quarters": "Los cuartos de hora",
            "fives-past": "De cinco en cinco después de la hora",
            "fives-to": "De cinco en cinco hasta la hora",
            "minutes": "Cada minuto cuenta",
            "near-the-hour": "Un poco antes y un poco después",
            "elapsed": "Más tarde y más temprano",
            "day-parts": "Mañana, tarde y noche",
        },
        "fr": {
            "o-clock": "Les heures pile",
            "half-past": "Les demi-heures",
            "quarters": "Les quarts d'heure",
            "fives-past": "De cinq en cinq après l'heure",
            "fives-to": "De cinq en cinq avant l'heure",
            "minutes": "Chaque minute compte",
            "near-the-hour": "Juste avant et juste après",
            "elapsed": "Plus tard et plus tôt",
            "day-parts": "Matin, après-midi et soir",
        },
        "de": {
            "o-clock": "Volle Stunden",
            "half-past": "Halbe Stunden",
            "quarters": "Viertelstunden",
            "fives-past": "In Fünferschritten nach der Stunde",
            "fives-to": "In Fünferschritten vor der Stunde",
            "minutes": "Jede Minute zählt",
            "near-the-hour": "Kurz davor und kurz danach",
            "elapsed": "Später und früher",
            "day-parts": "Morgen, Nachmittag und Abend",
        },
    }
)


def title(step: str, language: str) -> str:
    """Return what a lesson about `step` is called in `language`, such as "en-GB"."""
    return _TITLES[language.partition("-")[0]][step]
