"""Usual school cautions, with what is known of their source. They inform; they never decide."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from caller.languages.folders import MODEL, table


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionSource:
    """Where a caution comes from: `status` is "found", "found-2" (a second copy) or "from memory"."""

    fact: str
    source: str
    status: str


SOURCES: Final = (
    CautionSource(
        fact="Warm-up of 5 to 10 minutes with rising intensity, calm of about 5 minutes after",
        source="general PE texts",
        status="from memory",
    ),
    CautionSource(
        fact="Arm's length all round, about 2 m by 2 m a child; 1 to 2 m clear of walls",
        source="PE safety handbooks, e.g. afPE Safe Practice",
        status="from memory",
    ),
    CautionSource(
        fact="Land on both feet, knees bent, ball of the foot first; a floor that grips, laced shoes",
        source="gymnastics and PE safety handbooks",
        status="from memory",
    ),
    CautionSource(
        fact="Water always available; undue exertion and short recovery are the risks in heat",
        source="AAP policy statement 2011 (reaffirmed 2019), Pediatrics 128:e741",
        status="found",
    ),
    CautionSource(
        fact="A seated version with the same meaning for every exercise",
        source="UDL action and expression; adapted PE",
        status="from memory",
    ),
    CautionSource(
        fact="Asthma: include fully, warm up gradually, inhaler and plan at hand, stop at cough or wheeze",
        source="NHLBI/NAEPP, Asthma & Physical Activity in the School, NIH 12-3651, 2012",
        status="found",
    ),
    CautionSource(
        fact="Withholding exercise, or giving it, as punishment is inappropriate",
        source="SHAPE America position statement 2021 (earlier NASPE 2009)",
        status="found",
    ),
)


def cautions(language: str) -> tuple[str, ...]:
    """Return short lines for the welcome, in this language; the last one says who decides."""
    words = table(language, "cautions")
    return (*words["lines"], words["who-decides"])


def who_decides(language: str = MODEL) -> str:
    """Return the sentence that leaves the last word to the people and rules of the place."""
    return str(table(language, "cautions")["who-decides"])
