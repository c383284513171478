"""How well a class is counted by its claps, in five halls that another library has simulated.

Run `python -m benchmarks.claps [--lessons N] [--seed N] [--keep FOLDER]` (needs the extra `acoustics`). The
sound of every clap goes from its child's place to the microphone through a room of pyroomacoustics (image
sources and ray tracing); the voice and a tick come from the loudspeaker the same way, noise and stray sounds
lie under it. The reckoning was made with seed 101; what is reported has other places, children and seeds.
Claps are bursts of noise, resonant at another pitch for every child, and late or early as children are.
None of it is taken from the program, which is given only the readings that its level meter makes of the
microphone's samples.

A lesson is the whole class once and three rounds, each with a count that is as likely as any other. An
error is the mean of the distribution less the truth, as a share of the class; a claim is a judgement (few:
under 40 %, most: 70 % and more, else half) that is given at least 85 %.

The spreads of single claps, 2, 4 and 6 dB, span what may be; how much of their variance lies between children
is drawn anew for each class. Children's timing: 60 ms from clap to clap and 50 ms from child to child, from
memory of studies of tapping at 5 to 8 years. No room full of real children has been heard.
"""

from __future__ import annotations

import argparse
import pickle
import warnings
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft, rfft

from caller.hall.clap_share import CountHeard, TwoSides, counted
from caller.hall.claps import (
    BEFORE,
    BLOCK_S,
    CLAP_S,
    CLAPS,
    LEAD,
    STRETCH,
    Clapped,
    LevelReading,
    NotCounted,
    clapped,
    fall_db,
    fault_of,
    quiet_of,
    reading_of,
)

Signal = NDArray[np.float64]
Spectrum = NDArray[np.complex64]
Chance = np.random.Generator

RATE: Final = 16_000
PLACES: Final = 20
ROUNDS: Final = 3
CLAIMED: Final = 0.85
SPREADS_DB: Final = (2.0, 4.0, 6.0)
TAKE_PART, WRONG_SIDE = (0.88, 1.0), (0.0, 0.06)
BETWEEN: Final = (0.4, 0.8)  # which part of the variance lies between children
LEAD_S, LAST_S = 2.5, 1.2
WORDS_S, LONG_WORDS_S = 0.5, 1.5  # "Left.", and what the whole class is asked with
_DRY: Final = 38_400  # samples: a group's claps, or what it is asked with, before any hall
_SIZE: Final = 81_920  # with their echo
_EARLY_S: Final = 0.4


@dataclass(frozen=True, slots=True)
class Room:
    """A shoebox hall: its size in metres and the reverberation that its surfaces are chosen for."""

    name: str
    size_m: tuple[float, float, float]
    reverberation_s: float


ROOMS: Final = (
    Room("small, treated", (12.0, 9.0, 4.0), 0.8),
    Room("school hall", (15.0, 10.0, 5.0), 1.2),
    Room("gym, treated", (24.0, 12.0, 6.5), 1.6),
    Room("sports hall", (27.0, 15.0, 7.0), 2.2),
    Room("gym, bare", (24.0, 12.0, 6.5), 3.2),
)
MICROPHONES: Final = ("front", "side")


@dataclass
class Paths:
    """How sound comes from each child, and from the loudspeaker, to one microphone: responses at `RATE`."""

    children: list[Signal]
    speaker: Signal

    @cached_property
    def spectra(self) -> tuple[list[Spectrum], Spectrum]:
        """The same as spectra, of the children and of the loudspeaker."""
        longest = _SIZE - _DRY
        return [_spectrum(path[:longest]) for path in self.children], _spectrum(self.speaker[:longest])


def _spectrum(sound: Signal) -> Spectrum:
    return np.asarray(rfft(sound.astype(np.float32), _SIZE), np.complex64)


def paths_of(room: Room, chance: Chance, *, places: int = PLACES, rays: int = 1500) -> tuple[Paths, ...]:
    """Return what pyroomacoustics makes of a room, for each of `MICROPHONES`."""
    import pyroomacoustics as pra

    length, width, _ = room.size_m
    absorbed, _ = pra.inverse_sabine(room.reverberation_s, room.size_m)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        box = pra.ShoeBox(
            room.size_m, fs=RATE, materials=pra.Material(absorbed, 0.2), max_order=3,
            ray_tracing=True, air_absorption=True,
        )  # fmt: skip
        box.set_ray_tracing(n_rays=rays, receiver_radius=0.6)
        for _ in range(places):
            at = (chance.uniform(3.5, length - 1.0), chance.uniform(1.0, width - 1.0), 1.0)
            box.add_source(list(at))
        box.add_source([1.0, width / 2 + 1.0, 1.3])
        box.add_microphone_array(np.array([[1.0, width / 2, 0.9], [3.0, 0.7, 0.8]]).T)
        np.random.seed(int(chance.integers(2**31)))
        box.compute_rir()
    return tuple(Paths(list(map(np.asarray, heard[:-1])), np.asarray(heard[-1])) for heard in box.rir)


@dataclass(slots=True)
class Children:
    """A class: where each child stands, how loud it claps, and the pitch of its hands."""

    at: NDArray[np.int64]
    loud_db: Signal
    within_db: float
    hands: list[Signal]
    late_s: Signal
    take_part: float
    wrong_side: float


def a_class(spread_db: float, chance: Chance, *, places: int = PLACES, most: int = 30) -> Children:
    count = int(chance.integers(10, most + 1))
    between = chance.uniform(*BETWEEN)
    return Children(
        at=chance.choice(places, count),  # two children may stand close together
        loud_db=chance.normal(0.0, spread_db * between**0.5, count),
        within_db=spread_db * (1.0 - between) ** 0.5,
        hands=[_resonance(chance) for _ in range(count)],
        late_s=chance.normal(0.0, 0.05, count),
        take_part=chance.uniform(*TAKE_PART),
        wrong_side=chance.uniform(*WRONG_SIDE),
    )


def _resonance(chance: Chance) -> Signal:
    """Return a short filter: one broad peak, from cupped to flat hands."""
    hertz, q = chance.uniform(900.0, 2400.0), chance.uniform(0.8, 1.6)
    seconds = np.arange(96) / RATE
    return np.asarray(np.exp(-np.pi * hertz / q * seconds) * np.sin(2 * np.pi * hertz * seconds))


def _clap(hands: Signal, level_db: float, chance: Chance) -> Signal:
    burst = chance.standard_normal(160) * np.exp(-np.arange(160) / (0.002 * RATE))
    sound = np.convolve(burst, hands)
    return np.asarray(sound / np.sqrt(np.sum(sound**2)) * 10 ** (level_db / 20))


def a_call(
    groups: list[NDArray[np.bool_]],
    children: Children,
    paths: Sequence[Paths],
    chance: Chance,
    *,
    noise_db: float,
    words_s: float = WORDS_S,
    shout: int | None = None,
) -> tuple[list[Signal], list[float]]:
    """Return what each microphone hears of one call, and where each group's first beat is, in seconds.

    Parameters
    ----------
    groups
        For each group that is asked, which children belong to it.
    words_s
        How long the words take that ask a group.
    shout
        During which group's claps some of the class shout.
    """
    before_s = words_s + CLAP_S  # the words, the tick, and then the claps
    group_s = before_s + (CLAPS + 1) * CLAP_S
    count = round((LEAD_S + len(groups) * group_s + LAST_S) * RATE)
    heard = [np.zeros(count + _SIZE) for _ in paths]
    beats = []
    for number, asked in enumerate(groups):
        starts_s = LEAD_S + number * group_s
        speaker = np.zeros(_DRY)
        put(speaker, 0.0, _voice(words_s - 0.05, chance) * 2.0)
        tick = np.sin(2 * np.pi * 2000 * np.arange(800) / RATE) * np.hanning(800) * 0.05
        put(speaker, words_s, tick)
        dry = _hands(asked, children, chance)
        if shout == number:
            for child in range(0, len(children.at), 2):
                sound = dry.setdefault(child, np.zeros(_DRY))
                put(sound, _EARLY_S + chance.uniform(0, 0.3), _voice(1.3, chance, 1100.0) * 4.0)
        said = _spectrum(speaker)
        clapping = {child: _spectrum(sound) for child, sound in dry.items()}
        for wet, path in zip(heard, paths, strict=True):
            from_children, from_speaker = path.spectra
            put(wet, starts_s, irfft(said * from_speaker, _SIZE))
            hall = sum((clapping[each] * from_children[children.at[each]] for each in dry), 0 * said)
            put(wet, starts_s + before_s - _EARLY_S, irfft(hall, _SIZE))
        beats.append(starts_s + before_s)
    one_clap = [float(np.mean([np.sum(each**2) for each in path.children])) for path in paths]
    return [
        wet[:count] + _background(count, loud, noise_db, chance)
        for wet, loud in zip(heard, one_clap, strict=True)
    ], beats


def _hands(asked: NDArray[np.bool_], children: Children, chance: Chance) -> dict[int, Signal]:
    """Return the claps of every child that claps when these are asked, from `_EARLY_S` before the beat."""
    dry = {}
    together_s = chance.normal(0.03, 0.04)
    for child in range(len(children.at)):
        likely = children.take_part if asked[child] else children.wrong_side
        if chance.random() > likely:
            continue
        sound = dry[child] = np.zeros(_DRY)
        for clap in range(CLAPS):
            first_s = abs(chance.normal(0.0, 0.06)) if clap == 0 else 0.0
            at_s = _EARLY_S + clap * CLAP_S + together_s + children.late_s[child] + first_s
            at_s += chance.normal(0.0, 0.06)
            level = children.loud_db[child] + chance.normal(0.0, children.within_db)
            put(sound, at_s, _clap(children.hands[child], level, chance))
    return dry


def put(onto: Signal, at_s: float, sound: Signal) -> None:
    start = max(round(at_s * RATE), 0)
    end = min(start + sound.size, onto.size)
    onto[start:end] += sound[: end - start]


def _voice(length_s: float, chance: Chance, top_hz: float = 700.0) -> Signal:
    """Return noise with a voice's slope (falling 9 dB an octave above `top_hz`) and syllables."""
    count = round(length_s * RATE)
    spectrum = np.fft.rfft(chance.standard_normal(count))
    hertz = np.fft.rfftfreq(count, 1 / RATE)
    spectrum *= (hertz > 150) / (1 + (hertz / top_hz) ** 3)
    sound = np.fft.irfft(spectrum, count)
    sound *= 1.2 + np.sin(2 * np.pi * 4.5 * np.arange(count) / RATE)
    return np.asarray(sound / np.sqrt(np.sum(sound**2)))


def _background(count: int, one_clap: float, noise_db: float, chance: Chance) -> Signal:
    """Return a hall's steady noise (falling 4 dB an octave), and a class that does not stand quite still."""
    spectrum = np.fft.rfft(chance.standard_normal(count))
    hertz = np.maximum(np.fft.rfftfreq(count, 1 / RATE), 50.0)
    noise = np.fft.irfft(spectrum * (hertz / 1000.0) ** -0.66, count)
    wanted = one_clap * 10 ** (noise_db / 10) / (CLAP_S * RATE)
    noise *= np.sqrt(wanted / np.mean(noise**2))
    for _ in range(chance.poisson(count / RATE * 0.6)):  # a shoe, a cough, a word
        stray = _voice(chance.uniform(0.1, 0.3), chance, 900.0)
        put(
            noise,
            chance.uniform(0, count / RATE),
            stray * np.sqrt(one_clap) * 10 ** (chance.uniform(-20, -5) / 20),
        )
    return np.asarray(noise)


def automatic_gain(sound: Signal) -> Signal:
    """Return a sound as a meeting's automatic gain leaves it: all it can, as loud as -20 dB of full scale.

    It turns down within some 30 ms and up by 12 dB a second, by at most 30 dB.
    """
    frame = RATE // 100
    count = sound.size // frame
    level = 10 * np.log10(np.mean(sound[: count * frame].reshape(count, frame) ** 2, axis=1) + 1e-12)
    gains_db, held, gain_db = np.zeros(count), -90.0, 0.0
    for number in range(count):
        held = max(level[number], held - 0.3)
        wanted = float(np.clip(-20.0 - held, -10.0, 30.0))
        gain_db += (wanted - gain_db) * 0.3 if wanted < gain_db else min(wanted - gain_db, 0.12)
        gains_db[number] = gain_db
    smooth = np.interp(np.arange(sound.size), (np.arange(count) + 0.5) * frame, gains_db)
    return np.asarray(np.clip(sound * 10 ** (smooth / 20), -1.0, 1.0))


def readings_from(sound: Signal, lag_s: float) -> list[LevelReading]:
    """Return the level meter's readings; each is as late as the sound system is."""
    late = np.concatenate([np.zeros(round(lag_s * RATE)), sound])
    block = round(BLOCK_S * RATE)
    return [
        reading_of(late[at : at + block].astype(np.float32), RATE)
        for at in range(0, late.size - block, block)
    ]


@dataclass(slots=True)
class Outcome:
    """What became of one round: the truth, and the count or why there was none."""

    truth: float
    told: CountHeard | NotCounted


@dataclass(slots=True)
class CallHeard:
    """What a level meter told of one call, and where in it each group's first beat was, in seconds."""

    readings: list[LevelReading]
    beats: list[float]


@dataclass(slots=True)
class LessonHeard:
    """The whole class's call and then each round's, by microphone and gain, and what was true."""

    children: int
    truths: list[float]
    calls: dict[tuple[int, bool], list[CallHeard]]


class Listener:
    """One microphone in one lesson, and the program behind it."""

    def __init__(self, children: int) -> None:
        self._children = children
        self._fall: float | None = None
        self._whole: Clapped | NotCounted = NotCounted.UNHEARD
        self._rounds: list[TwoSides] = []

    def _groups(self, call: CallHeard) -> list[Clapped | NotCounted]:
        told = call.readings
        quiet = quiet_of(told[: round(LEAD_S / BLOCK_S)])
        starts = [round(beat / BLOCK_S) - LEAD - BEFORE for beat in call.beats]
        if len(call.beats) == 1:
            last = starts[0] + BEFORE + LEAD + round(CLAPS * CLAP_S / BLOCK_S)
            self._fall = fall_db(told[last + 1 :], quiet)
        return [clapped(told[at : at + BEFORE + STRETCH], quiet, fall_db=self._fall) for at in starts]

    def hear_whole(self, call: CallHeard) -> None:
        """Listen to everybody's claps."""
        (self._whole,) = self._groups(call)
        if not isinstance(self._whole, NotCounted):
            self._whole = fault_of(self._whole) or self._whole

    def count(self, call: CallHeard) -> CountHeard | NotCounted:
        """Listen to both sides' claps; return what the program makes of them."""
        side, others = self._groups(call)
        if isinstance(self._whole, NotCounted):
            return self._whole
        if isinstance(side, NotCounted):
            return side
        if isinstance(others, NotCounted):
            return others
        self._rounds.append(TwoSides(side=side, others=others))
        found = counted(self._whole, self._rounds, self._children, fall_db=self._fall)
        if found in (NotCounted.SHOUT, NotCounted.DROWNED):
            self._rounds.pop()
        return found


def a_lesson(
    paths: Sequence[Paths],
    spread_db: float,
    chance: Chance,
    *,
    gains: Sequence[bool] = (False,),
    places: int = PLACES,
    shouted: int | None = None,
    full_scale: float = 0.4,
) -> LessonHeard:
    """Return what is heard of a lesson.

    `shouted` is the round in which some shout; `full_scale` how near the whole class comes to clipping.
    """
    children = a_class(spread_db, chance, places=places)
    count = len(children.at)
    noise_db, lag_s = chance.uniform(-25.0, -8.0), chance.uniform(0.0, 0.15)
    groups, truths = [[np.ones(count, bool)]], []
    for _ in range(ROUNDS):
        truth = int(chance.integers(0, count + 1))
        left = np.zeros(count, bool)
        left[chance.choice(count, truth, replace=False)] = True
        groups.append([left, ~left])
        truths.append(truth / count)
    calls: dict[tuple[int, bool], list[CallHeard]] = {}
    loud: dict[int, float] = {}
    for number, asked in enumerate(groups):
        words_s = WORDS_S if number else LONG_WORDS_S
        shout = int(chance.integers(2)) if shouted == number - 1 else None
        sounds, beats = a_call(
            asked, children, paths, chance, noise_db=noise_db, words_s=words_s, shout=shout
        )
        for at, sound in enumerate(sounds):
            scaled = sound * loud.setdefault(at, full_scale / float(np.abs(sound).max()))
            for gain in gains:
                met = automatic_gain(scaled) if gain else np.clip(scaled, -1.0, 1.0)
                heard = CallHeard(readings_from(met, lag_s), beats)
                calls.setdefault((at, gain), []).append(heard)
    return LessonHeard(count, truths, calls)


def outcomes(lesson: LessonHeard) -> Iterator[dict[tuple[int, bool], Outcome]]:
    """Yield what becomes of each round of a lesson, by microphone and gain."""
    ears = {key: Listener(lesson.children) for key in lesson.calls}
    for key, ear in ears.items():
        ear.hear_whole(lesson.calls[key][0])
    for number, truth in enumerate(lesson.truths, start=1):
        yield {key: Outcome(truth, ear.count(lesson.calls[key][number])) for key, ear in ears.items()}


JUDGED: Final = ((0.0, 0.4), (0.4, 0.7), (0.7, 1.0))


@dataclass(slots=True)
class Score:
    """Errors, coverage and claims over many rounds."""

    errors: list[float] = field(default_factory=list)
    covered: list[bool] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)
    claims: list[bool] = field(default_factory=list)
    refused: Counter[str] = field(default_factory=Counter)
    rounds: int = 0

    def take(self, outcome: Outcome) -> None:
        self.rounds += 1
        if isinstance(outcome.told, NotCounted):
            self.refused[outcome.told.value] += 1
            return
        low, high = outcome.told.interval
        self.errors.append(outcome.told.mean - outcome.truth)
        self.covered.append(low - 1e-9 <= outcome.truth <= high + 1e-9)
        self.widths.append(high - low)
        chances = [outcome.told.between(*each) for each in JUDGED]
        if max(chances) >= CLAIMED:
            low, high = JUDGED[int(np.argmax(chances))]
            self.claims.append(low <= outcome.truth + 1e-9 and (outcome.truth < high - 1e-9 or high == 1.0))

    def __add__(self, other: Score) -> Score:
        return Score(
            self.errors + other.errors,
            self.covered + other.covered,
            self.widths + other.widths,
            self.claims + other.claims,
            self.refused + other.refused,
            self.rounds + other.rounds,
        )

    def row(self, name: str) -> str:
        if not self.errors:
            return f"| {name} | {self.rounds} | 100 | - | - | - | - | - |"
        share = 100 * sum(self.refused.values()) / self.rounds
        error = np.sqrt(np.mean(np.square(self.errors)))
        claims = f"{100 * np.mean(self.claims):.0f}" if self.claims else "-"
        return (
            f"| {name} | {self.rounds} | {share:.0f} | {100 * error:.0f} | "
            f"{100 * np.mean(self.covered):.0f} | {100 * np.mean(self.widths):.0f} | "
            f"{100 * len(self.claims) / len(self.errors):.0f} | {claims} |"
        )


Heard = list[tuple[float, int | None, LessonHeard]]
"""Lessons heard in one hall: the spread of single claps, the round with a shout, and what was heard."""


def lessons_in(number: int, *, lessons: int, seed: int, keep: Path | None = None) -> Heard:
    """Return lessons in one of `ROOMS`; every third of them has a shout.

    What was heard is kept in the folder `keep`, and taken from there another time.
    """
    kept = keep / f"heard-{seed}-{lessons}-{number}.pickle" if keep is not None else None
    if kept is not None and kept.exists():
        found: Heard = pickle.loads(kept.read_bytes())
        return found
    paths = paths_of(ROOMS[number], np.random.default_rng([seed, number]), rays=500)
    found = []
    for spread_db in SPREADS_DB:
        for lesson in range(lessons):
            chance = np.random.default_rng([seed, number, lesson, int(spread_db)])
            shouted = lesson // 3 % ROUNDS if lesson % 3 == 2 else None
            heard = a_lesson(paths, spread_db, chance, gains=(False, True), shouted=shouted)
            found.append((spread_db, shouted, heard))
    if kept is not None:
        kept.write_bytes(pickle.dumps(found))
    return found


def scores_of(heard: Heard) -> dict[tuple[float, int, bool, bool], Score]:
    """Return the scores of a room by spread, microphone, automatic gain and shout."""
    scores: dict[tuple[float, int, bool, bool], Score] = {}
    for spread_db, shouted, lesson in heard:
        for at, by_ear in enumerate(outcomes(lesson)):
            for (microphone, gain), outcome in by_ear.items():
                key = spread_db, microphone, gain, at == shouted
                scores.setdefault(key, Score()).take(outcome)
    return scores


HEAD: Final = (
    "| {what} | rounds | refused, % | error, rms, points | truth in the 90 % interval, % | its width, points "
    "| judged, % | of those right, % |\n|---|---|---|---|---|---|---|---|"
)


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.claps", description=__doc__)
    parser.add_argument("--lessons", type=int, default=6, help="for each hall and spread")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--keep", type=Path, help="a folder for what was heard, to reckon it again")
    given = parser.parse_args()
    found: dict[tuple[str, float, int, bool, bool], Score] = {}
    for number, room in enumerate(ROOMS):
        heard = lessons_in(number, lessons=given.lessons, seed=given.seed, keep=given.keep)
        for key, score in scores_of(heard).items():
            found[(room.name, *key)] = score

    def row(name: str, **wanted: object) -> None:
        names = ("room", "spread", "microphone", "gain", "shout")
        fitting = (
            score
            for key, score in found.items()
            if all(dict(zip(names, key, strict=True))[each] == value for each, value in wanted.items())
        )
        total = sum(fitting, Score())
        print(total.row(name))
        whys.append((name, total.refused))

    whys: list[tuple[str, Counter[str]]] = []
    print(HEAD.format(what=f"seed {given.seed}; {given.lessons} lessons of each kind"))
    row("no automatic gain", gain=False, shout=False)
    for spread_db in SPREADS_DB:
        row(f"spread of {spread_db:.0f} dB", spread=spread_db, gain=False, shout=False)
    for at, name in enumerate(MICROPHONES):
        row(f"microphone: {name}", microphone=at, gain=False, shout=False)
    for room in ROOMS:
        row(f"{room.name}, {room.reverberation_s:g} s", room=room.name, gain=False, shout=False)
    row("automatic gain", gain=True, shout=False)
    for spread_db in SPREADS_DB:
        row(f"automatic gain, spread of {spread_db:.0f} dB", spread=spread_db, gain=True, shout=False)
    row("half the class shouts at one side", gain=False, shout=True)
    print("\nRefused because of:\n")
    for name, why in whys:
        if why and name.startswith(("no ", "automatic", "half")):
            print(f"- {name}: {', '.join(f'{count} × {text}' for text, count in why.most_common())}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
