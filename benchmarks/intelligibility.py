"""What adapting to a hall buys: adapted against unadapted calls, measured.

    python -m benchmarks.intelligibility [--calls N] [--seed S]

Needs pystoi and pocketsphinx besides the program itself.

Which measure, and why.  STI describes the hall and the noise; it cannot see how anyone speaks in it, so it
shows what hushing and volume buy (first table) and nothing of pace and pauses.  For those (second table)
the spoken call itself, as the lesson's own timeline sends it to the loudspeaker, is judged by ESTOI
(Jensen and Taal 2016): the correlation, over 384 ms, of the call's spectrum in time with that of the same
call heard dry, by the direct sound alone.  The echo of one word that fills the next lowers it, and its
silent frames are left out, so that gaps count only by what they spare the words after them. It suits echo
with noise that swells and falls, as a class's does.  It gives slow speech no credit: long vowels change
little within 384 ms, which it takes for a loss, while listeners in reverberation did better at 80 % of the
rate than at 100 % (Hodoshima, Interspeech 2024, older adults). So pace is shown apart from gaps, the same
words are compared with the same words, and **listeners in the hall decide.**

The recogniser (third table) breaks down in any noise or echo, for every voice.  It hears clean speech only,
with the faint hiss of a microphone (digital silence upsets its features), and answers one question: are
minutes that sound alike told apart by their wording?  Its ear is American, so the American voice is its
fair test.

The fourth table asks what lowering and equalising the plain voice costs or buys: STI with the spectrum of
the voice itself at the same loudness. Two STI less than 0.03 apart are taken for the same (Bradley, Reich and
Norcross, J. Acoust. Soc. Am. 106 (1999), from memory).
"""

from __future__ import annotations

import argparse
import io
import tempfile
import warnings
from collections.abc import Mapping, Sequence
from contextlib import redirect_stdout
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.signal import fftconvolve, resample_poly

from benchmarks.naturalness import lines_of
from caller.clock import ClockTime
from caller.clock.ladder import step
from caller.hall.adapt import Delivery, delivery_for
from caller.hall.bands import (
    CLASS_SPECTRUM_DB,
    OCTAVES_HZ,
    ROOM_SPECTRUM_DB,
    SPEECH_SPECTRUM_DB,
    a_weighted_dba,
    octave_bands,
    shaped_db,
)
from caller.hall.floor import critical_distance_m
from caller.hall.intelligibility import room_modulation, sti
from caller.hall.reverberation import DECAY_CONSTANT_S_PER_M
from caller.languages import fill, language
from caller.languages.folders import CODES
from caller.languages.phrases import Speaking, phrases
from caller.runsheet import Board, Call, RunSheet, VoicePlan
from caller.runsheet.sayings import Saying
from caller.runsheet.talk import Talk
from caller.sound import SAMPLE_RATE, Melody
from caller.sound.audiofile import read_mono
from caller.sound.kept_voice import ClipCache
from caller.sound.speech import Speech, VoiceSettings, finish_speech
from caller.sound.voice import VoiceBox
from caller.sound.voice_engine import MIDDLE_PITCH, PITCH, PITCH_OF_A_SEMITONE, RANGE, Engine
from caller.timeline.segment import Timeline

Samples = NDArray[np.float64]

HALLS_S = (1.0, 2.0, 3.0)
VOLUME_M3, DIRECTIVITY, DISTANCE_M = 1872.0, 5.0, 14.0  # the back row of a 24 x 12 x 6.5 m gym
SNR_DB = 10.0  # a listening class, and a voice 10 dB over it
UNADAPTED_WPM, UNADAPTED_PAUSE_S = 150, 0.25
NOISES = {
    "a class": shaped_db(CLASS_SPECTRUM_DB, 75.0 - SNR_DB),
    "hushed": shaped_db(ROOM_SPECTRUM_DB, 40.0),  # ventilation and street are left
}
HOW_SAID = ("as the engine is", "as said")
UNTOUCHED = Melody(semitones=(MIDDLE_PITCH - PITCH) / PITCH_OF_A_SEMITONE, lively=MIDDLE_PITCH / RANGE)
RATE_HZ = 10_000  # the rate ESTOI works at
FIRST_ECHO_S = 0.005
SWELL_DB = 3.0
SPOKEN = ((120, "en-US"), (150, "en-US"), (175, "en-US"), (150, "en-GB"))
HISS = 3e-3  # 50 dB under full scale
BRITISH = language("en-GB")
CONFUSABLE = sorted({minute for pair in BRITISH.confusable_minutes for minute in pair})
RESAMPLES = 4000


@dataclass(frozen=True)
class Way:
    """A way of speaking a call."""

    name: str
    delivery: Delivery


def ways(plan: Delivery) -> list[Way]:
    plain = replace(
        plan,
        rate_wpm=UNADAPTED_WPM,
        gap_before_hour_s=0.0,
        gap_before_minutes_s=0.0,
        sentence_pause_s=UNADAPTED_PAUSE_S,
    )
    return [
        Way("unadapted", plain),
        Way("slower only", replace(plain, rate_wpm=plan.rate_wpm)),
        Way("gaps and pauses only", replace(plan, rate_wpm=UNADAPTED_WPM)),
        Way("adapted", plan),
    ]


# --- the hall
# -----------------------------------------------------------------------------------------------


def direct_to_reverberant(t_s: float) -> float:
    absorption = DECAY_CONSTANT_S_PER_M * VOLUME_M3 / t_s
    return float(critical_distance_m(DIRECTIVITY, absorption) / DISTANCE_M) ** 2


def reverberant_response(t_s: float, rng: np.random.Generator) -> Samples:
    """Return what follows the direct sound (of energy 1) at the back row: decaying noise (Polack)."""
    time_s = np.arange(int(1.2 * t_s * RATE_HZ)) / RATE_HZ
    tail = rng.standard_normal(time_s.size) * 10.0 ** (-3.0 * time_s / t_s)
    tail[: int(FIRST_ECHO_S * RATE_HZ)] = 0.0
    return np.asarray(tail / np.sqrt(np.sum(tail**2) * direct_to_reverberant(t_s)))


def class_noise(size: int, rng: np.random.Generator) -> Samples:
    """Return noise with the spectrum of a class, swelling and falling about twice a second; power 1."""
    hz = np.fft.rfftfreq(size, 1 / RATE_HZ)
    # Levels of octaves to density: the higher the octave, the wider.
    density_db = np.asarray(CLASS_SPECTRUM_DB) - 10.0 * np.log10(OCTAVES_HZ)
    shape_db = np.interp(np.log2(np.maximum(hz, 60.0)), np.log2(OCTAVES_HZ), density_db)
    noise = np.fft.irfft(np.fft.rfft(rng.standard_normal(size)) * 10.0 ** (shape_db / 20.0), size)
    knots_db = rng.normal(0.0, SWELL_DB, size // (RATE_HZ // 4) + 2)
    swell_db = np.interp(np.arange(size) / (RATE_HZ / 4), np.arange(knots_db.size), knots_db)
    noise *= 10.0 ** (swell_db / 20.0)
    return np.asarray(noise / np.sqrt(np.mean(noise**2)))


# --- the calls
# ----------------------------------------------------------------------------------------------


def calls(count: int, rng: np.random.Generator) -> list[tuple[ClockTime, ClockTime]]:
    """Return pairs of readings: the time, and the reading that it is most easily misheard as."""
    pairs = [tuple(sorted(pair)) for pair in BRITISH.confusable_minutes]
    found = []
    for _ in range(count):
        hour, (low, high) = int(rng.integers(1, 13)), pairs[int(rng.integers(len(pairs)))]
        found.append((ClockTime(hour, low), ClockTime(hour, high)))
    return found


def spoken_call(box: VoiceBox, pair: tuple[ClockTime, ClockTime], way: Way) -> Samples:
    """Return "On the left: seven fifteen." and "On the right: seven fifty." as the program says them."""
    talk = Talk(
        first=phrases("en-GB"),
        speaking=Speaking(step=step("fives-past"), registers=("digital", "digital")),
        delivery=way.delivery,
    )
    told = (
        fill(f"On the {side}: {{time}}.", {"time": BRITISH.digital(time)})
        for side, time in zip(("left", "right"), pair, strict=True)
    )
    lines = tuple(talk.line(Saying(words=None), each, "en-GB", "offer") for each in told)
    call = Call(number=1, kind="choices", part="round", round=1, lines=lines, board=Board(layout="clock"))
    run_sheet = RunSheet(
        title="",
        class_name="",
        language="en-GB",
        seed=1,
        voice=VoicePlan(rate_wpm=way.delivery.rate_wpm),
        calls=(call,),
        rounds=(),
    )
    for line in lines:
        said(box, line.speech, way.delivery.rate_wpm, "en-GB")
    segment = Timeline(run_sheet, voice=box, tones={}).segment(call)
    heard = segment.render(0, segment.layout.spans[-1].speech_end).astype(np.float64)
    return np.asarray(resample_poly(heard, RATE_HZ // 2000, SAMPLE_RATE // 2000))


def said(box: VoiceBox, text: str, rate_wpm: int, language: str) -> Speech:
    clip = box.clip(text, VoiceSettings(language=language, rate_wpm=rate_wpm))
    if clip.missing:
        raise SystemExit(f"The voice could not say “{text}”: {clip.why}.")
    return clip


# --- ESTOI
# --------------------------------------------------------------------------------------------------


def estoi(dry: Samples, t_s: float, seed: int) -> float:
    """Return the ESTOI of a call at the back row, in class noise, against its direct sound."""
    from pystoi import stoi

    rng = np.random.default_rng(seed)
    echo = fftconvolve(dry, reverberant_response(t_s, rng))
    size = dry.size + RATE_HZ // 2
    clean = np.pad(dry, (0, size - dry.size))
    wet = clean + np.pad(echo, (0, max(0, size - echo.size)))[:size]
    voiced = np.abs(clean) > 0.01 * np.abs(clean).max()
    noise = class_noise(size, rng) * np.sqrt(np.mean(wet[voiced] ** 2) * 10.0 ** (-SNR_DB / 10.0))
    with warnings.catch_warnings():
        warnings.simplefilter(
            "error"
        )  # pystoi warns, and returns a placeholder, where there is too little speech
        return float(stoi(clean, wet + noise, RATE_HZ, extended=True))


def interval(values: Samples, rng: np.random.Generator) -> tuple[float, float]:
    """Return the 95 % bootstrap interval of the mean."""
    means = rng.choice(values, (RESAMPLES, values.size)).mean(axis=1)
    low, high = np.percentile(means, (2.5, 97.5))
    return float(low), float(high)


def adapting(box: VoiceBox, *, count: int, seed: int) -> dict[tuple[float, str], Samples]:
    """Return the ESTOI of every call, by hall and way; a call's hall and noise are one for all ways."""
    pairs = calls(count, np.random.default_rng(seed))
    found: dict[tuple[float, str], Samples] = {}
    for t_s in HALLS_S:
        plan = plan_for(t_s)
        for way in ways(plan):
            scores = [
                estoi(spoken_call(box, pair, way), t_s, 1000 * seed + call) for call, pair in enumerate(pairs)
            ]
            found[t_s, way.name] = np.asarray(scores)
    return found


def plan_for(t_s: float) -> Delivery:
    return delivery_for(mid_reverberation=t_s, sti=hall_sti(t_s, SNR_DB))


def hall_modulation(t_s: float) -> Samples:
    """Return what the benchmark's hall leaves of each modulation at the back row, shape (7, 14)."""
    ratio = np.full(7, direct_to_reverberant(t_s))
    return room_modulation(np.full(7, t_s), direct_to_reverberant=ratio)


def hall_sti(t_s: float, snr_db: float | None) -> float:
    """Return the STI at the back row of the benchmark's hall."""
    room = hall_modulation(t_s)
    if snr_db is None:
        return float(sti(room))
    speech, noise = shaped_db(SPEECH_SPECTRUM_DB, 75.0), shaped_db(CLASS_SPECTRUM_DB, 75.0 - snr_db)
    return float(sti(room, speech_db=speech, noise_db=noise, masking=True))


# --- the recogniser
# -----------------------------------------------------------------------------------------


def minutes_words(minute: int, *, apart: bool) -> str:
    """Return how a recogniser writes the minutes of a reading: "one five", "fifteen", "oh five"."""
    time = ClockTime(1, minute)
    phrase = (BRITISH.apart(time) if apart else BRITISH.digital(time)).speech
    return phrase.replace("-", " ").replace(",", "").removeprefix("one ")


class Recogniser:
    """pocketsphinx with a grammar of all 720 readings in one wording."""

    def __init__(self, *, apart: bool) -> None:
        from pocketsphinx import Decoder

        hours = " | ".join(BRITISH.number(hour) for hour in range(1, 13))
        self._minutes = {minutes_words(minute, apart=apart): minute for minute in range(60)}
        minutes = " | ".join(sorted(self._minutes))
        self._decoder = Decoder(samprate=16_000, loglevel="FATAL")
        self._decoder.add_jsgf_string(
            "times", f"#JSGF V1.0; grammar times; public <time> = it is ({hours}) ({minutes});"
        )
        self._decoder.activate_search("times")

    def hear(self, samples: Samples) -> int | None:
        """Return the minutes that are heard in "It is four fifteen", or None."""
        sound = resample_poly(samples, 16_000, SAMPLE_RATE)
        sound = np.pad(0.5 * sound / np.abs(sound).max(), 8000)
        sound += HISS * np.random.default_rng(0).standard_normal(sound.size)
        self._decoder.start_utt()
        self._decoder.process_raw((sound * 32_767).astype("<i2").tobytes(), full_utt=True)
        self._decoder.end_utt()
        heard = self._decoder.hyp()
        words = heard.hypstr.split() if heard else []
        return self._minutes.get(" ".join(words[3:]))


def misheard(box: VoiceBox, *, apart: bool, rate_wpm: int, language: str) -> tuple[int, int]:
    """Return how many clean readings have their minutes misheard, and of how many."""
    recogniser = Recogniser(apart=apart)
    times = [ClockTime(hour, minute) for hour in range(1, 13) for minute in CONFUSABLE]
    wrong = 0
    for time in times:
        reading = (BRITISH.apart(time) if apart else BRITISH.digital(time)).speech
        clip = said(box, f"It is {reading}", rate_wpm, language)
        wrong += recogniser.hear(clip.samples.astype(np.float64)) != time.minute
    return wrong, len(times)


# --- the voice's own spectrum
# ------------------------------------------------------------------------------------------------


def voice_spectra_db(tongue: str, count: int) -> dict[str, Samples]:
    """Return the octave levels of the plain voice, as its engine gives it and as it is said, shape (7,).

    The same lines of ready lessons, each at the loudness that all clips have; levels in dB, of one reference.
    """
    engine = Engine("bundled")
    voice = engine.choose(tongue)
    energy = {how: np.zeros(len(OCTAVES_HZ)) for how in HOW_SAID}
    # The engine's driver prints where each file goes.
    with tempfile.TemporaryDirectory() as folder, redirect_stdout(io.StringIO()):
        file = Path(folder) / "line.wav"
        for text, _ in lines_of(tongue, count):
            said_now = engine.say(text, file, voice=voice, rate_wpm=UNADAPTED_WPM)
            engine.write(text, file, voice=voice, rate_wpm=UNADAPTED_WPM, melody=UNTOUCHED)
            raw, rate = read_mono(file, longest_s=60.0)
            for how, samples in zip(HOW_SAID, (raw, said_now.samples), strict=True):
                clip = finish_speech(samples, rate, words=None, voice=voice.label).samples
                bands = octave_bands(clip.astype(np.float64), SAMPLE_RATE)
                energy[how] += (bands**2).sum(axis=1) / clip.size
    return {how: np.asarray(10.0 * np.log10(each / count)) for how, each in energy.items()}


def sti_of(spectra_db: Mapping[str, Samples], t_s: float, noise_db: Samples) -> dict[str, float]:
    """Return the STI at the back row with each spectrum, the first of them at 75 dBA, all played alike."""
    room = hall_modulation(t_s)
    louder_db = 75.0 - a_weighted_dba(next(iter(spectra_db.values())))
    return {
        how: float(sti(room, speech_db=levels + louder_db, noise_db=noise_db, masking=True))
        for how, levels in spectra_db.items()
    }


# --- the report
# ---------------------------------------------------------------------------------------------


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="What adapting the caller to a hall buys, measured.")
    parser.add_argument("--calls", type=int, default=24, help="calls per hall")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(arguments)
    rng = np.random.default_rng(options.seed)

    print("1. What the hall itself allows: STI at the back row, by the class and the volume")
    print(f"   {'echo':>6}  {'as called':>10}  {'10 dB louder':>12}  {'class hushed':>12}")
    for t_s in HALLS_S:
        now, louder, hushed = (hall_sti(t_s, snr) for snr in (SNR_DB, SNR_DB + 10.0, None))
        print(f"   {t_s:4.0f} s  {now:10.2f}  {louder:12.2f}  {hushed:12.2f}")

    with (
        tempfile.TemporaryDirectory() as folder,
        VoiceBox(ClipCache(Path(folder)), engines=("bundled",)) as box,
    ):
        print(f"\n2. What pace and pauses buy: ESTOI of {options.calls} calls, halls and noise alike")
        print(f"   {'echo':>6}  {'way':<22}{'ESTOI':>6}   gain over unadapted, 95 % interval")
        scores = adapting(box, count=options.calls, seed=options.seed)
        for (t_s, name), values in scores.items():
            gain = values - scores[t_s, "unadapted"]
            low, high = interval(gain, rng)
            more = "" if name == "unadapted" else f"   {gain.mean():+.3f}  [{low:+.3f}, {high:+.3f}]"
            print(f"   {t_s:4.0f} s  {name:<22}{values.mean():6.3f}{more}")

        print("\n3. Wording of minutes that sound alike, clean speech: minutes misheard by the recogniser")
        print(f"   {'rate':>7}  voice  {'plain':>9}  {'apart':>9}")
        for rate_wpm, language in SPOKEN:
            (plain, of), (apart, _) = (
                misheard(box, apart=each, rate_wpm=rate_wpm, language=language) for each in (False, True)
            )
            halved = "at least halved" if 2 * apart <= plain else "NOT halved"
            print(f"   {rate_wpm:3d} wpm  {language}  {plain:3d} of {of}  {apart:3d} of {of}  {halved}")

    print("\n4. What the sound of the plain voice costs or buys: STI at the back row, by its own spectrum")
    print(f"   {'voice':<6} {'echo':>6}  {'noise':>12}  {HOW_SAID[0]:>16}  {HOW_SAID[1]:>10}")
    for tongue in CODES:
        spectra_db = voice_spectra_db(tongue, options.calls)
        for t_s in HALLS_S:
            for noise, noise_db in NOISES.items():
                first, then = sti_of(spectra_db, t_s, noise_db).values()
                print(f"   {tongue:<6} {t_s:4.0f} s  {noise:>12}  {first:16.3f}  {then:10.3f}")

    print("\nNumbers from a formula and a recogniser. Listeners in the hall decide.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
