"""How late each loudspeaker is, and that the picture waits for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.live.loudspeaker import MOST_MS, Lateness
from caller.live.loudspeaker.output import Output, SpeakerBeingOpened
from caller.live.loudspeaker.player import Player
from caller.live.loudspeaker.speakers import SilentSpeaker
from caller.scripts.source import ScriptProblems
from caller.sound import SAMPLE_RATE
from tests.live.loudspeaker.test_output import Clock


def test_what_was_set_is_found_again_for_that_device_alone(tmp_path: Path) -> None:
    path = tmp_path / "new" / "loudspeakers.toml"
    assert Lateness(path).of("hall") == 0
    assert Lateness(path).change("hall", 180) == 180
    assert Lateness(path).change("desk", 20) == 20
    again = Lateness(path)
    assert (again.of("hall"), again.of("desk"), again.of("headphones")) == (180, 20, 0)
    assert again.change("hall", -1000) == 0
    assert again.change("hall", 10 * MOST_MS) == MOST_MS


@given(name=st.text(min_size=1, max_size=300), ms=st.integers(1, MOST_MS))
def test_a_device_of_any_name_is_found_again(
    name: str, ms: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("names") / "loudspeakers.toml"
    Lateness(path).change(name, ms)
    assert Lateness(path).of(name) == ms


def test_a_file_that_cannot_be_used_is_told_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "loudspeakers.toml"
    path.write_text('[[loudspeaker]]\nname = "hall"\nsound_delay_ms = "late"\n', encoding="utf-8")
    with pytest.raises(ScriptProblems, match="line 3"):
        Lateness(path)


class OnTime(SilentSpeaker):
    """A device of which every sample is heard when the clock says so."""

    def heard(self, now_s: float) -> int:
        return round(now_s * SAMPLE_RATE)


def test_the_picture_waits_as_long_as_the_loudspeaker_is_late(tmp_path: Path) -> None:
    clock, late = Clock(), Lateness(tmp_path / "loudspeakers.toml")
    output = Output(SpeakerBeingOpened(Player(), OnTime), clock=clock, late_ms=late.of)
    try:
        before = output.heard()
        late.change(output.name, 200)
        assert before - output.heard() == round(0.2 * SAMPLE_RATE)
    finally:
        output.close()


def test_who_gets_the_voice_alone_is_kept_beside_the_delays(tmp_path: Path) -> None:
    path = tmp_path / "loudspeakers.toml"
    assert Lateness(path).voice_to == ""
    Lateness(path).change("hall", 180)
    Lateness(path).send_voice_to("USB <loop>")
    Lateness(path).change("hall", 20)
    again = Lateness(path)
    assert (again.of("hall"), again.voice_to) == (200, "USB loop")
    again.send_voice_to("other", keep=False)
    assert (again.voice_to, Lateness(path).voice_to) == ("other", "USB loop")
    again.send_voice_to("")
    assert "voice_to" not in path.read_text(encoding="utf-8")
