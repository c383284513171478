"""A substitute walks from the icon to the first spoken word: by keys, by mouse alone, by one button alone."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from caller.record.store import Store
from tests.endtoend.conftest import SoundServer
from tests.endtoend.walking import Walk, walking

pytestmark = [
    pytest.mark.endtoend,
    pytest.mark.skipif(shutil.which("tesseract") is None, reason="needs tesseract (installed by .ci/run)"),
]

MOST_PRESSES = 6
MOST_S = 60.0


@pytest.fixture
def walk(tmp_path: Path, sound_server: SoundServer) -> Iterator[Walk]:
    with walking(tmp_path, sound_server) as made:
        yield made


def test_by_keys(walk: Walk) -> None:
    walk.place("Lead a lesson")
    for name in ("Right", "Return", "Return", "Return"):  # a substitute; seven years old; twenty minutes
        walk.key(name)
    took_s = walk.until_spoken()
    assert walk.presses <= MOST_PRESSES
    assert took_s <= MOST_S
    walk.key("Return")  # it is heard
    walk.key("Return")  # it is safe
    walk.until(walk.led, "no lesson begins")
    assert walk.presses <= MOST_PRESSES
    with Store(walk.data / "record.sqlite3") as store:
        assert not any(store.classes())  # nobody's lesson


def test_by_the_mouse_alone(walk: Walk) -> None:
    walk.click("substitute today")
    walk.click("7 to 8 years")
    walk.click("20 minutes")
    assert walk.until_spoken() <= MOST_S
    to_and_fro(walk)
    walk.click("Go on", last=True)  # it is heard
    walk.until_gone("Sound check")
    walk.click("Go on", last=True)  # it is safe
    walk.until(walk.led, "no lesson begins")
    assert walk.presses <= MOST_PRESSES


def to_and_fro(walk: Walk) -> None:
    """On to what keeps everybody safe, and back: not part of the way, only to see that one can."""
    counted = walk.presses
    walk.click("Go on", last=True)
    walk.until_gone("Sound check")
    walk.click("Back", last=True)
    walk.place("Sound check")
    walk.presses = counted


def test_by_one_button_alone(walk: Walk) -> None:
    walk.place("Lead a lesson")
    walk.step()
    walk.hold()
    walk.hold()
    walk.hold()
    assert walk.until_spoken() <= MOST_S
    assert walk.presses <= MOST_PRESSES
    walk.hold()  # it is heard
    walk.hold()  # it is safe
    walk.until(walk.led, "no lesson begins")
    assert walk.presses <= MOST_PRESSES
