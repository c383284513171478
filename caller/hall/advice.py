"""One page of plain advice about a hall, each sentence computed from it."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np

from caller.hall import DIAL_RADIUS_PER_IMAGE_HEIGHT, SMALLER_DIALS, Hall
from caller.hall.adapt import CUE_CEILING_DBA, Delivery, delivery
from caller.hall.bands import Bands
from caller.hall.floor import (
    ENOUGH_OVER_NOISE_DB,
    NOTICEABLE_STI,
    VOICE_CEILING_DBA,
    WHERE_IT_IS,
    Loudness,
    Place,
    critical_distance_m,
    floor_map,
    last_row_sti,
    loudness,
    places,
)
from caller.hall.intelligibility import letter, word, words_heard
from caller.hall.reverberation import (
    largest_absorber,
    mid_reverberation_s,
    reverberation_s,
    total_absorption_m2,
)
from caller.hall.sightlines import SightLines, sight_lines

Topic: TypeAlias = Literal["hearing", "class", "speaker", "loudness", "caller", "picture", "room", "honesty"]

# Where one surface takes most of the sound, Sabine's formula promises too short an echo.
_UNEVEN_SHARE = 0.6
# A gain that 10 dB of volume would buy, below which it is not worth the noise: two noticeable steps.
_HARDLY_STI = 2.0 * NOTICEABLE_STI
_SPORTS_FROM_M: Final = 5.0
_HALL_FROM_M2: Final = 90.0
_USUAL_PRECISION = {1: "single minutes", 5: "five minutes", 15: "quarters", 30: "halves", 60: "hours only"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One sentence or two of advice."""

    topic: Topic
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HallReport:
    """Everything that is told about a hall: the figures, and the advice made from them."""

    name: str
    volume_m3: float
    reverberation_s: Bands
    mid_reverberation_s: float
    measured: bool
    reverberation_limit_s: float
    room_kind: str
    people: int
    critical_distance_m: float
    level_front_dba: float
    level_back_dba: float
    noise_dba: float
    sti: float
    sti_letter: str
    sti_word: str
    words_in_ten: int
    sti_silent_class: float
    sti_working_class: float
    sti_10_db_louder: float
    loudness: Loudness
    places: tuple[Place, ...]
    delivery: Delivery
    sight_lines: SightLines
    advice: tuple[Advice, ...] = ()


def echo_limit_s(hall: Hall) -> tuple[float, str]:
    """Return the longest echo that a guide asks of a new room of this kind, and the kind in words.

    BB93 (2015), from memory; 1.5 s for small sports halls and 1.2 s for school halls were found. What kind a
    room is, is told by its size: ball games need 5 m of height (common practice, no source).
    """
    floor_m2 = hall.length_m * hall.width_m
    if hall.height_m >= _SPORTS_FROM_M:
        return (
            1.5 if floor_m2 < 280.0 else 2.0 - max(0.0, 530.0 - floor_m2) / 500.0
        ), "school sports halls of this size"
    return (0.6, "primary classrooms") if floor_m2 < _HALL_FROM_M2 else (1.2, "school halls")


def report(hall: Hall) -> HallReport:
    """Return the figures of a hall and the advice that follows from them."""
    times = reverberation_s(hall)
    floor = floor_map(hall)
    limit_s, kind = echo_limit_s(hall)
    inside = floor.in_class if floor.in_class.any() else np.ones_like(floor.in_class)
    sti = last_row_sti(hall)
    louder = dataclasses.replace(hall.speaker, level_at_1m_dba=hall.speaker.level_at_1m_dba + 10.0)
    a, b, c, d, e, f, g = (round(float(each), 2) for each in times)
    figures = HallReport(
        name=hall.name,
        volume_m3=hall.volume_m3,
        reverberation_s=(a, b, c, d, e, f, g),
        mid_reverberation_s=mid_reverberation_s(times),
        measured=hall.measured_reverberation_s is not None,
        reverberation_limit_s=limit_s,
        room_kind=kind,
        people=hall.people,
        critical_distance_m=float(
            critical_distance_m(np.asarray(hall.speaker.directivity), total_absorption_m2(hall))[2:5].mean()
        ),
        level_front_dba=float(floor.level_dba[inside].max()),
        level_back_dba=float(floor.level_dba[inside].min()),
        noise_dba=hall.noise.listening_dba,
        sti=sti,
        sti_letter=letter(sti),
        sti_word=word(sti),
        words_in_ten=round(10 * words_heard(sti)),
        sti_silent_class=last_row_sti(hall, noise_dba=hall.noise.background_dba),
        sti_working_class=last_row_sti(hall, noise_dba=hall.noise.working_dba),
        sti_10_db_louder=last_row_sti(dataclasses.replace(hall, speaker=louder)),
        loudness=loudness(hall, floor),
        places=tuple(places(hall)),
        delivery=delivery(hall),
        sight_lines=sight_lines(hall),
    )
    share = largest_absorber(hall)
    sections = (
        _hearing(figures),
        _class(figures),
        _speaker(figures),
        _loudness(figures),
        _caller(figures),
        _picture(figures),
        _room(figures, *share),
        _honesty(figures),
    )
    return dataclasses.replace(figures, advice=tuple(each for section in sections for each in section))


def _hearing(hall: HallReport) -> list[Advice]:
    return [
        Advice(
            topic="hearing",
            text=f"While the class listens, the back row hears about {hall.words_in_ten} words in 10"
            f" (STI {hall.sti:.2f}, {hall.sti_word}); that is for grown-ups and a human voice: children catch"
            " fewer, and fewer still from a voice that is made.",
        )
    ]


def _class(hall: HallReport) -> list[Advice]:
    hushed = round(10 * words_heard(hall.sti_silent_class))
    found = []
    if hall.sti_silent_class - hall.sti >= NOTICEABLE_STI:
        found.append(
            f"Hush the class first: in silence the back row hears about {hushed} words in 10"
            f" (STI {hall.sti_silent_class:.2f})."
        )
    if hall.sti - hall.sti_working_class >= NOTICEABLE_STI:
        found.append(
            f"Over a moving class the back row follows little (STI {hall.sti_working_class:.2f}):"
            " let the caller wait until the feet are still."
        )
    return [Advice(topic="class", text=text) for text in found]


def _speaker(hall: HallReport) -> list[Advice]:
    best = hall.places[0]
    now = next(place for place in hall.places if place.words == WHERE_IT_IS)
    reach = (
        f"Straight in front of it, its own sound outweighs the echo only within"
        f" {hall.critical_distance_m:.1f} m."
    )
    if best.mean_sti - now.mean_sti < NOTICEABLE_STI:
        text = f"Leave the speaker where it is, at ear height or above and pointing at the class. {reach}"
    else:
        text = (
            f"Move the speaker {best.words}, pointing at the middle of the class: the average place would"
            f" have STI {best.mean_sti:.2f} instead of {now.mean_sti:.2f}, the worst {best.worst_sti:.2f}."
            f" {reach}"
        )
    return [Advice(topic="speaker", text=text)]


def _loudness(hall: HallReport) -> list[Advice]:
    level = hall.loudness
    found = []
    if level.needed_dba <= level.most_dba:
        found.append(
            f"Set the voice to about {level.advised_dba:.0f} dB(A), measured 1 m in front of the speaker:"
            f" {ENOUGH_OVER_NOISE_DB:.0f} dB over the listening class at the worst place. For six-year-olds"
            " that is not enough: hush them."
        )
    else:
        found.append(
            f"Set the voice to no more than {level.most_dba:.0f} dB(A), measured 1 m in front of the"
            " speaker. The worst place needs more than is safe for the nearest child, so hush the class,"
            " or stand closer."
        )
    gain = hall.sti_10_db_louder - hall.sti
    if gain < _HARDLY_STI:
        found.append(
            f"More volume hardly helps: 10 dB more would change STI from {hall.sti:.2f}"
            f" to {hall.sti_10_db_louder:.2f}."
        )
    found.append(
        f"Keep the voice under {VOICE_CEILING_DBA:.0f} dB(A) and the tones under {CUE_CEILING_DBA:.0f}"
        " dB(A) at the nearest child. The World Health Organization gives 85 dB LAeq,1h for public address"
        " (1999). Local rules, the school's policy and qualified staff come first."
    )
    return [Advice(topic="loudness", text=text) for text in found]


def _caller(hall: HallReport) -> list[Advice]:
    plan = hall.delivery
    minutes = (
        "digit by digit where two choices sound alike, as fifteen and fifty do"
        if plan.wording == "apart"
        else "as usual"
    )
    return [
        Advice(
            topic="caller",
            text=f"The caller keeps a pace of {plan.rate_wpm} words a minute here (of usual length, stops"
            " counted in), pauses"
            f" {plan.gap_before_minutes_s:.1f} s before the hour and the minutes and"
            f" {plan.sentence_pause_s:.1f} s between sentences, and says minutes {minutes}.",
        ),
        Advice(
            topic="caller",
            text="Every word is on the screen too, large enough to be read from"
            f" {math.floor(hall.sight_lines.words_readable_to_m)} m away.",
        ),
    ]


def _picture(hall: HallReport) -> list[Advice]:
    lines = hall.sight_lines
    can = (
        f"From the last row, {lines.distance_m:.0f} m away, a child with 6/12 sight (20/40) can tell"
        f" {_USUAL_PRECISION[lines.precision_minutes]} apart on this dial"
    )
    if lines.margin_precision_minutes != lines.precision_minutes:
        can += f"; with 6/18 sight (20/60), {_USUAL_PRECISION[lines.margin_precision_minutes]}"
    found = [f"{can}."]
    if not lines.numerals_readable:
        found.append(
            f"The numerals can be read only to {lines.numerals_readable_to_m:.0f} m: make the picture"
            f" {lines.image_height_needed_m:.1f} m high, or bring the last row closer."
        )
    else:
        smaller = {
            words: lines.numerals_readable_to_m * share / DIAL_RADIUS_PER_IMAGE_HEIGHT
            for words, share in SMALLER_DIALS.items()
        }
        short = [f"{to_m:.0f} m with {words}" for words, to_m in smaller.items() if to_m < lines.distance_m]
        if short:
            found.append(
                f"Where the dial is drawn smaller, its numerals can be read to {' and '.join(short)}."
            )
    return [Advice(topic="picture", text=text) for text in found]


def _room(hall: HallReport, absorber: str, share: float) -> list[Advice]:
    found = []
    if hall.mid_reverberation_s > hall.reverberation_limit_s:
        found.append(
            f"The echo lasts {hall.mid_reverberation_s:.1f} s; the guide for new {hall.room_kind} in England"
            f" (BB93) asks for {hall.reverberation_limit_s:.1f} s or less. Absorbing"
            " panels would help more than any speaker."
        )
    if not hall.measured and share >= _UNEVEN_SHARE:
        found.append(
            f"The {absorber} takes most of the sound here, and such halls ring longer than the formula"
            " says: measure this one."
        )
    return [Advice(topic="room", text=text) for text in found]


def _honesty(hall: HallReport) -> list[Advice]:
    how = (
        f"measured in the empty hall and reckoned with {hall.people} people in it"
        if hall.measured
        else "estimated from the hall's walls"
    )
    return [
        Advice(
            topic="honesty",
            text=f"The echo was {how}, the rest is reckoned. Listeners in the hall decide: stand in the"
            " last row, play a call, and ask a child what it said.",
        )
    ]
