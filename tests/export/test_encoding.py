from __future__ import annotations

from fractions import Fraction

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from caller.export.encoding import H264, VP9, Look, VideoFormat, encode, open_encoder
from caller.export.pictures import Unit
from caller.runsheet.model import Board
from caller.screen.scene import Scene
from caller.screen.theme import LIGHT

BOARD = Board(layout="figure", move="march", move_name="march")
UNITS = (
    Unit(start=0, count=20, drawn=20),
    Unit(start=20, count=25, drawn=10),
    Unit(start=45, count=5, drawn=5),
)


def look(kind: VideoFormat) -> Look:
    return Look(size=(320, 180), fps=30, theme=LIGHT, format=kind)


def scene_of(number: int) -> Scene:
    return Scene(board=BOARD, count=number // 20, move_s=number / 30)


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
    found = list(encode(UNITS, scene_of, look(kind)))
    assert [unit for unit, _ in found] == list(UNITS)
    assert [len(packets) for _, packets in found] == [20, 10, 5]


@pytest.mark.parametrize("kind", [H264, VP9])
def test_units_play_end_to_end_and_a_repeated_loop_shows_the_same_pictures(kind: VideoFormat) -> None:
    joined = [
        packets[number % unit.drawn]
        for unit, packets in encode(UNITS, scene_of, look(kind))
        for number in range(unit.count)
    ]
    frames = decoded(joined, kind)
    assert len(frames) == 50
    for number in range(30, 45):
        np.testing.assert_array_equal(frames[number], frames[20 + (number - 20) % 10])


@pytest.mark.parametrize("kind", [H264, VP9])
def test_a_unit_decodes_without_the_others(kind: VideoFormat) -> None:
    units = list(encode(UNITS, scene_of, look(kind)))
    alone = decoded(units[1][1], kind)
    joined = decoded(units[0][1] + units[1][1], kind)
    for left, right in zip(alone, joined[20:], strict=True):
        np.testing.assert_array_equal(left, right)
