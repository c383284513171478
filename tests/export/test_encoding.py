from __future__ import annotations

import os
import threading
from collections.abc import Callable, Sequence
from fractions import Fraction

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from caller.export.encoding import (
    H264,
    VP9,
    Painter,
    VideoFormat,
    VideoLook,
    encoded_beside,
    encoders_and_threads,
    open_encoder,
)
from caller.export.units import Unit
from caller.runsheet import Board
from caller.screen.scene import Scene
from caller.screen.theme import LIGHT

BOARD = Board(layout="figure", move="march", move_name="march")
UNITS = (
    Unit(start=0, count=20, drawn=20),
    Unit(start=20, count=25, drawn=10),
    Unit(start=45, count=5, drawn=5),
)


def look(kind: VideoFormat) -> VideoLook:
    return VideoLook(size=(320, 180), fps=30, theme=LIGHT, format=kind)


def scene_of(number: int) -> Scene:
    return Scene(board=BOARD, count=number // 20, move_s=number / 30)


def encoded(
    units: Sequence[Unit], scene_of: Callable[[int], Scene], look: VideoLook
) -> list[tuple[Unit, list[bytes]]]:
    with encoded_beside(units, scene_of, look) as fresh:
        return list(fresh)


def decoded(packets: list[bytes], kind: VideoFormat) -> list[NDArray[np.uint8]]:
    decoder = av.CodecContext.create("h264" if kind is H264 else "vp9", "r")
    encoder = open_encoder(look(kind))
    encoder.open()
    decoder.extradata = encoder.extradata
    frames = []
    for number, content in enumerate(packets):
        packet = av.Packet(content)
        packet.pts, packet.time_base = number, Fraction(1, 30)
        frames += decoder.decode(packet)
    frames += decoder.decode(None)
    return [np.asarray(frame.to_ndarray(), np.uint8) for frame in frames]


@pytest.mark.parametrize("kind", [H264, VP9])
def test_every_drawn_frame_gives_a_packet_and_units_come_in_order(kind: VideoFormat) -> None:
    found = encoded(UNITS, scene_of, look(kind))
    assert [unit for unit, _ in found] == list(UNITS)
    assert [len(packets) for _, packets in found] == [20, 10, 5]


@pytest.mark.parametrize("kind", [H264, VP9])
def test_units_play_end_to_end_and_a_repeated_loop_shows_the_same_pictures(kind: VideoFormat) -> None:
    joined = [
        packets[number % unit.drawn]
        for unit, packets in encoded(UNITS, scene_of, look(kind))
        for number in range(unit.count)
    ]
    frames = decoded(joined, kind)
    assert len(frames) == 50
    for number in range(30, 45):
        np.testing.assert_array_equal(frames[number], frames[20 + (number - 20) % 10])


@pytest.mark.parametrize("kind", [H264, VP9])
def test_a_unit_decodes_without_the_others(kind: VideoFormat) -> None:
    units = encoded(UNITS, scene_of, look(kind))
    alone = decoded(units[1][1], kind)
    joined = decoded(units[0][1] + units[1][1], kind)
    for left, right in zip(alone, joined[20:], strict=True):
        np.testing.assert_array_equal(left, right)


@pytest.mark.parametrize("processors", [1, 3, 4])
def test_units_come_whole_and_in_order_whatever_the_machine(
    processors: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: processors)
    joined = [packet for _, packets in encoded(UNITS, scene_of, look(H264)) for packet in packets]
    frames = decoded(joined, H264)
    numbers = [number for unit in UNITS for number in range(unit.start, unit.start + unit.drawn)]
    painter = Painter(320, 180, LIGHT)
    for number, frame in zip(numbers, frames, strict=True):
        drawn = np.asarray(painter.paint(scene_of(number)).to_ndarray(), np.float64)
        assert np.abs(frame - drawn).mean() < 1.0


@pytest.mark.parametrize(("processors", "expected"), [(1, (1, 1)), (2, (2, 1)), (4, (2, 2)), (16, (2, 2))])
def test_processors_go_to_a_second_encoder_first(
    processors: int, expected: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: processors)
    assert encoders_and_threads() == expected


def test_closing_stops_the_drawing() -> None:
    drawn: list[int] = []

    def scene(number: int) -> Scene:
        drawn.append(number)
        return scene_of(number)

    units = tuple(Unit(start=20 * number, count=20, drawn=20) for number in range(1_000))
    with encoded_beside(units, scene, look(H264)) as fresh:
        assert next(fresh)[0] == units[0]
    assert len(drawn) < 10_000
    assert not any(thread.name.startswith("encoder") for thread in threading.enumerate())


def test_what_goes_wrong_while_drawing_is_told() -> None:
    def scene(number: int) -> Scene:
        if number == 25:
            raise OSError("no more pictures")
        return scene_of(number)

    with pytest.raises(OSError, match="no more pictures"):
        encoded(UNITS, scene, look(H264))
