"""A decoded video judged by outside readers.

They are PyAV's decoders, the independent dial reader, pyloudnorm's loudness meter, and scipy's oversampling.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
import pyloudnorm
import pytest
from numpy.typing import NDArray
from scipy.signal import resample_poly

from caller.clock import ClockTime
from caller.export.formats import Job, Options
from caller.export.programme import Programme
from caller.export.video import write
from caller.runsheet import Board, Call, Countdown, Dial, Lane, Line, RunSheet, VoicePlan
from caller.screen.layout import places
from caller.sound import VOICE_LUFS
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Timeline

from .dial_reader import read_dial

RATE, FPS, SIZE = 48_000, 30, (1280, 720)
AAC_FRAME = 1_024
FOOT = 130  # rows of the picture that hold the count and the beads
TIMES = (ClockTime(4, 40), ClockTime(12, 5), ClockTime(7, 58))


def board_for(time: ClockTime) -> Board:
    left = Lane(side="left", numeral="4:40", words="four forty", move="march", move_name="march")
    right = Lane(
        side="right", numeral="8:20", words="eight twenty", move="star-jumps", move_name="star jumps"
    )
    return Board(layout="clock", dials=(Dial(time=time),), lanes=(left, right))


def lesson() -> RunSheet:
    calls = []
    for number, time in enumerate(TIMES):
        asked = (
            Line(written="Eyes on the clock.", speech="Eyes on the clock.", tone="attention", breath_s=0.5),
            Line(written="What time is it?", speech="What time is it?", pause_s=0.813),
        )
        decide = Line(written="Decide, and do your move.", speech="Decide, and do your move.")
        board = board_for(time)
        calls += [
            Call(
                number=2 * number + 1,
                kind="question",
                part="round",
                round=number + 1,
                lines=asked,
                board=board,
            ),
            Call(
                number=2 * number + 2,
                kind="move",
                part="round",
                round=number + 1,
                lines=(decide,),
                board=board,
                countdown=Countdown(seconds=7),
            ),
        ]
    return RunSheet(
        title="Three clocks",
        class_name="Gannets",
        language="en-GB",
        seed=1,
        voice=VoicePlan(rate_wpm=120),
        calls=tuple(calls),
        rounds=(),
    )


@dataclass(frozen=True)
class Written:
    path: Path
    programme: Programme
    sound: NDArray[np.float32]

    def tones(self, name: str) -> list[int]:
        """Return where the timeline has a tone, in samples of the lesson."""
        return [
            start + event.start
            for layout, start in zip(self.programme.layouts, self.programme.starts, strict=False)
            for event in layout.events
            if event.tone == name
        ]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Written:
    path = tmp_path_factory.mktemp("video") / "lesson.mp4"
    with VoiceBox() as voice:
        programme = Programme(Timeline(lesson(), voice=voice, tones=load_tones()))
        write(Job(programme=programme, options=Options(size="720p", fps=FPS)), path)
    with av.open(path) as container:
        sound = np.concatenate([frame.to_ndarray()[0] for frame in container.decode(audio=0)])
    return Written(path, programme, sound)


def found_at(written: Written, tone: str, meant: int) -> int:
    """Return where a tone is in the decoded sound, by correlation within a tenth of a second of `meant`."""
    shape = load_tones()[tone].samples
    reach = RATE // 10
    around = np.pad(written.sound, reach)[meant : meant + 2 * reach + shape.size]
    return int(np.argmax(np.correlate(around, shape, mode="valid"))) + meant - reach


def test_every_tone_is_heard_within_one_audio_frame_of_its_place(written: Written) -> None:
    for tone in ("attention", "beep", "tick"):
        places = written.tones(tone)
        assert len(places) >= 3
        for meant in places:
            assert abs(found_at(written, tone, meant) - meant) <= AAC_FRAME, tone


def test_onsets_are_exact_because_the_edit_list_takes_off_the_encoders_lead_in(written: Written) -> None:
    off = [found_at(written, "beep", meant) - meant for meant in written.tones("beep")]
    assert max(map(abs, off)) <= RATE // 1000


def test_the_dial_is_read_right_in_every_second_of_every_round(written: Written) -> None:
    read = 0
    with av.open(written.path) as container:
        for number, frame in enumerate(container.decode(video=0)):
            if number % FPS != 10:
                continue
            sample = number * RATE // FPS
            board = written.programme.scene(sample).board
            place = places(board, *SIZE).middle.dials[0]
            x, y = place.centre
            reach = 1.06 * place.radius
            picture = np.asarray(frame.to_ndarray(format="bgr24"), np.uint8)
            dial = picture[int(y - reach) : int(y + reach), int(x - reach) : int(x + reach)]
            time = board.dials[0].time
            assert time is not None
            assert read_dial(dial).time == (time.hour or 12, time.minute), number
            read += 1
    assert read >= 30


def test_sound_and_picture_are_within_one_frame_of_each_other(written: Written) -> None:
    """At every beep the large number at the foot changes, and as many beads lie there as it says."""
    beeps = written.tones("beep")
    heard = {found_at(written, "beep", meant) / RATE: 5 - n % 5 for n, meant in enumerate(beeps)}
    with av.open(written.path) as container:
        shown = [
            (frame.time or 0.0, np.asarray(frame.to_ndarray(format="bgr24"), np.uint8)[-FOOT:])
            for frame in container.decode(video=0)
        ]
    for at_s, left in heard.items():
        near = [number for number, (time_s, _) in enumerate(shown) if abs(time_s - at_s) < 0.2]
        changed = max(near, key=lambda number: how_much_changes(shown[number - 1][1], shown[number][1]))
        assert abs(shown[changed][0] - at_s) <= 1 / FPS
        assert beads_in(shown[changed][1]) == left


def how_much_changes(before: NDArray[np.uint8], after: NDArray[np.uint8]) -> float:
    """Return how far the middle of the foot, where the large number stands above the beads, differs."""
    middle = (slice(0, FOOT - 24), slice(SIZE[0] * 7 // 16, SIZE[0] * 9 // 16))
    return float(np.abs(after[middle].astype(float) - before[middle]).mean())


def beads_in(foot: NDArray[np.uint8]) -> int:
    """Count the dark runs along the line of beads, below the number."""
    dark = foot[-10].astype(float).mean(axis=1) < 110
    return int((np.diff(dark.astype(int)) == 1).sum())


def test_loudness_and_true_peak_are_what_the_standard_asks(written: Written) -> None:
    """EBU R 128 by another meter (pyloudnorm, BS.1770) and by peaks oversampled eight times."""
    loudness = pyloudnorm.Meter(RATE).integrated_loudness(written.sound.astype(np.float64))
    assert loudness == pytest.approx(VOICE_LUFS, abs=0.5)
    peak = np.abs(resample_poly(written.sound.astype(np.float64), 8, 1)).max()
    assert 20 * np.log10(peak) <= -1.0


def test_chapters_and_captions_are_in_the_file(written: Written) -> None:
    starts_s = np.array(written.programme.starts) / RATE
    with av.open(written.path) as container:
        chapters = [
            (float(one["start"] * (one["time_base"] or 0)), float(one["end"] * (one["time_base"] or 0)))
            for one in container.chapters()
        ]
        texts = {
            float(packet.pts * packet.time_base): bytes(packet)[2:].decode()
            for packet in container.demux(subtitles=0)
            if packet.size > 2 and packet.pts is not None
        }
    np.testing.assert_allclose(chapters, [(starts_s[n], starts_s[n + 2]) for n in (0, 2, 4)], atol=0.001)
    asked_s = written.programme.layouts[0].spans[0].speech_start / RATE
    shown_s = min(texts, key=lambda at_s: abs(at_s - asked_s))
    assert abs(shown_s - asked_s) < 0.002
    assert texts[shown_s].startswith("Eyes on the clock.")
    assert len(texts) >= 6
