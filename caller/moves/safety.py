"""Usual school cautions, with what is known of their source. They inform; they never decide."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a caution comes from: `status` is "found", "found-2" (a second copy) or "from memory"."""

    fact: str
    source: str
    status: str


WHO_DECIDES: Final = MappingProxyType(
    {
        "en": "Local rules, the school's policy and qualified staff decide.",
        "es": "Deciden las normas locales, el reglamento del centro y el personal cualificado.",
        "fr": "Les règles locales, le règlement de l'école et le personnel qualifié décident.",
        "de": "Örtliche Vorschriften, die Regeln der Schule und Fachkräfte entscheiden.",
    }
)

CAUTIONS: Final = MappingProxyType(
    {
        "en": (
            "Warm up first, end calmly.",
            "Arm's length from everybody, clear of walls.",
            "Dry floor, shoes that grip, laces tied.",
            "Water within reach.",
            "The easier and the seated version always count.",
            "Stop at pain, dizziness, coughing or breathlessness.",
            "Inhalers and care plans at hand.",
            WHO_DECIDES["en"],
        ),
        "es": (
            "Primero calentar, al final calma.",
            "Un brazo de distancia con los demás, lejos de las paredes.",
            "Suelo seco, calzado que no resbale, cordones atados.",
            "Agua al alcance.",
            "La versión fácil y la versión sin levantarse siempre valen.",
            "Parar si hay dolor, mareo, tos o falta de aire.",
            "Inhaladores y planes de atención a mano.",
            WHO_DECIDES["es"],
        ),
        "fr": (
            "S'échauffer d'abord, finir dans le calme.",
            "À un bras de distance des autres, loin des murs.",
            "Sol sec, chaussures antidérapantes, lacets noués.",
            "De l'eau à portée de main.",
            "La version facile et la version assise comptent toujours.",
            "Arrêter en cas de douleur, de vertige, de toux ou d'essoufflement.",
            "Inhalateurs et protocoles de soins à portée de main.",
            WHO_DECIDES["fr"],
        ),
        "de": (
            "Erst aufwärmen, ruhig beenden.",
            "Eine Armlänge Abstand zu allen, weg von den Wänden.",
            "Trockener Boden, rutschfeste Schuhe, Schnürsenkel gebunden.",
            "Wasser in Reichweite.",
            "Die leichtere und die sitzende Form zählen immer.",
            "Aufhören bei Schmerz, Schwindel, Husten oder Atemnot.",
            "Inhalatoren und Notfallpläne griffbereit.",
            WHO_DECIDES["de"],
        ),
    }
)
"""Short lines for the welcome screen, one tuple per language; the last line is always who decides."""

SOURCES: Final = (
    Source(
        fact="Warm-up of 5 to 10 minutes with rising intensity, calm of about 5 minutes after",
        source="general PE texts",
        status="from memory",
    ),
    Source(
        fact="Arm's length all round, about 2 m by 2 m a child; 1 to 2 m clear of walls",
        source="PE safety handbooks, e.g. afPE Safe Practice",
        status="from memory",
    ),
    Source(
        fact="Land on both feet, knees bent, ball of the foot first; a floor that grips, laced shoes",
        source="gymnastics and PE safety handbooks",
        status="from memory",
    ),
    Source(
        fact="Water always available; undue exertion and short recovery are the risks in heat",
        source="AAP policy statement 2011 (reaffirmed 2019), Pediatrics 128:e741",
        status="found",
    ),
    Source(
        fact="A seated version with the same meaning for every exercise",
        source="UDL action and expression; adapted PE",
        status="from memory",
    ),
    Source(
        fact="Asthma: include fully, warm up gradually, inhaler and plan at hand, stop at cough or wheeze",
        source="NHLBI/NAEPP, Asthma & Physical Activity in the School, NIH 12-3651, 2012",
        status="found",
    ),
    Source(
        fact="Withholding exercise, or giving it, as punishment is inappropriate",
        source="SHAPE America position statement 2021 (earlier NASPE 2009)",
        status="found",
    ),
)


def cautions(language: str) -> tuple[str, ...]:
    """Return the lines for the welcome screen; English stands in for languages that have none."""
    return CAUTIONS.get(language.partition("-")[0], CAUTIONS["en"])
