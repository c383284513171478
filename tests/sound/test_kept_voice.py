"""The cache is never needed: whatever is wrong with it, a clip is a miss at worst."""

from __future__ import annotations

import errno
import logging
import os
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller import file_writing
from caller.sound import kept_voice
from caller.sound.kept_voice import ClipCache, DamagedClipError, clip_key
from caller.sound.speech import Speech, VoiceSettings, Word
from caller.sound.voice import VoiceBox

BRITISH = VoiceSettings()


def a_clip(seed: int = 0, count: int = 480) -> Speech:
    samples = np.random.default_rng(seed).uniform(-0.7, 0.7, count).astype(np.float32)
    return Speech(
        samples=samples, onset=min(12, count), voice="Someone", words=(Word(0.0, 0, 4), Word(0.25, 5, 3))
    )


def content_of(clip: Speech) -> bytes:
    return kept_voice.to_bytes(clip)


@given(seed=st.integers(0, 2**32 - 1), count=st.integers(0, 3_000), words=st.booleans())
def test_a_clip_comes_back_from_its_bytes_within_half_a_step_of_16_bits(
    seed: int, count: int, words: bool
) -> None:
    clip = a_clip(seed, count)
    if not words:
        clip = Speech(samples=clip.samples, onset=min(3, count), voice="é")
    again = kept_voice.from_bytes(content_of(clip))
    np.testing.assert_allclose(again.samples, clip.samples, atol=0.51 / 32_767)
    assert (again.onset, again.words, again.voice, again.missing) == (
        clip.onset,
        clip.words,
        clip.voice,
        False,
    )
    assert content_of(again) == content_of(clip), "a second round changes nothing"


@given(data=st.data())
def test_any_damage_to_the_bytes_is_noticed(data: st.DataObject) -> None:
    content = bytearray(content_of(a_clip()))
    if data.draw(st.booleans(), label="cut"):
        content = content[: data.draw(st.integers(0, len(content) - 1))]
    else:
        content[data.draw(st.integers(0, len(content) - 1))] ^= data.draw(st.integers(1, 255))
    try:
        again = kept_voice.from_bytes(bytes(content))
    except DamagedClipError:
        return
    # What JSON does not see as a change (a space, a letter of an escape) is no damage.
    np.testing.assert_allclose(again.samples, a_clip().samples, atol=0.51 / 32_767)


@given(
    content=st.binary(max_size=400)
    | st.text(max_size=200).map(lambda t: (t + "\n").encode("utf-8", "replace"))
)
def test_bytes_from_anywhere_are_a_damaged_clip_and_nothing_worse(content: bytes) -> None:
    with pytest.raises(DamagedClipError):
        kept_voice.from_bytes(content)


@pytest.mark.parametrize(
    "header",
    [
        b"[]",
        b"{}",
        b"null",
        b'{"sha256": 1}',
        b"[" * 5_000,
        b'{"sha256":"","format":2,"rate":48000,"count":1e400}',
    ],
)
def test_odd_headers_are_a_damaged_clip(header: bytes) -> None:
    with pytest.raises(DamagedClipError):
        kept_voice.from_bytes(header + b"\n\0\0")


def test_what_is_kept_is_found_again_by_its_owner_only(cache_folder: Path) -> None:
    ClipCache(cache_folder).put("a", content_of(a_clip()))
    kept = ClipCache(cache_folder).get("a")
    assert kept is not None
    assert kept.words == a_clip().words
    if os.name == "posix":
        assert stat.S_IMODE(cache_folder.stat().st_mode) == 0o700
        assert stat.S_IMODE((cache_folder / "a.clip").stat().st_mode) == 0o600


def test_everything_that_changes_the_sound_changes_the_key() -> None:
    keys = {
        clip_key("Four.", VoiceSettings(), "engine 1"),
        clip_key("Five.", VoiceSettings(), "engine 1"),
        clip_key("Four.", VoiceSettings(language="en-US"), "engine 1"),
        clip_key("Four.", VoiceSettings(rate_wpm=121), "engine 1"),
        clip_key("Four.", VoiceSettings(name="scotland"), "engine 1"),
        clip_key("Four.", VoiceSettings(), "engine 2"),
    }
    assert len(keys) == 6


@pytest.mark.parametrize("damage", [b"", b"no clip\n", b"\xff" * 100, content_of(a_clip())[:-1]])
def test_a_damaged_entry_is_a_miss_and_is_replaced(damage: bytes, cache_folder: Path) -> None:
    cache = ClipCache(cache_folder)
    cache.put("a", content_of(a_clip()))
    (cache_folder / "a.clip").write_bytes(damage)
    assert cache.get("a") is None
    cache.put("a", content_of(a_clip()))
    assert cache.get("a") is not None


def test_a_folder_in_the_place_of_an_entry_is_a_miss(
    cache_folder: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (cache_folder / "a.clip").mkdir(parents=True)
    cache = ClipCache(cache_folder)
    assert cache.get("a") is None
    cache.put("a", content_of(a_clip()))
    assert cache.get("a") is not None, "held in memory"


def test_a_folder_that_takes_nothing_is_warned_of_once_and_clips_are_held(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    # A file where the folder should be: refused even to root, who may write into a read-only folder.
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    cache = ClipCache(blocked / "speech")
    with caplog.at_level(logging.WARNING):
        for name in "abc":
            cache.put(name, content_of(a_clip()))
    assert [record.getMessage() for record in caplog.records] == [
        (
            f"Spoken sentences cannot be kept in {blocked / 'speech'} ({os.strerror(errno.EEXIST)}): "
            "the lesson goes on, and starts later next time."
        )
    ]
    assert all(cache.get(name) is not None for name in "abc")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs Linux")
def test_a_full_disk_leaves_no_half_written_entry(
    cache_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real_open = os.open

    def full(path: str, flags: int, *rest: int, **more: int) -> int:
        writes = flags & os.O_WRONLY
        return real_open("/dev/full", os.O_WRONLY) if writes else real_open(path, flags, *rest, **more)

    monkeypatch.setattr(os, "open", full)
    cache = ClipCache(cache_folder)
    cache.put("a", content_of(a_clip()))
    monkeypatch.undo()
    assert list(cache_folder.iterdir()) == []
    assert cache.get("a") is not None, "held in memory"
    assert ClipCache(cache_folder).get("a") is None


def test_the_least_recently_used_goes_first(cache_folder: Path) -> None:
    content = content_of(a_clip(count=4_800))
    cache = ClipCache(cache_folder, limit_bytes=5 * len(content))
    for number in range(5):
        cache.put(f"{number}", content)
        os.utime(cache_folder / f"{number}.clip", (1_000 + number, 1_000 + number))
    assert cache.get("0") is not None, "using it makes it recent"
    cache.put("5", content)
    left = sorted(path.stem for path in cache_folder.iterdir())
    assert left == ["0", "3", "4", "5"]
    assert sum(path.stat().st_size for path in cache_folder.iterdir()) <= 5 * len(content)


HAMMER = """
import sys
from pathlib import Path
import numpy as np
from caller import file_writing
from caller.sound import kept_voice
from caller.sound.kept_voice import ClipCache
from caller.sound.speech import Speech
folder, seed = Path(sys.argv[1]), int(sys.argv[2])
cache = ClipCache(folder, limit_bytes=40_000)
content = kept_voice.to_bytes(Speech(samples=np.full(2_400, 0.5, np.float32)))
random = np.random.default_rng(seed)
for _ in range(300):
    cache.put(f"{random.integers(0, 8)}", content)
    try:
        kept_voice.from_bytes((folder / f"{random.integers(0, 8)}.clip").read_bytes())
    except FileNotFoundError:
        pass
"""


def test_two_programs_on_one_folder_never_see_half_a_file(cache_folder: Path) -> None:
    cache_folder.mkdir()
    programs = [subprocess.Popen([sys.executable, "-c", HAMMER, str(cache_folder), seed]) for seed in "12"]
    assert [program.wait(60) for program in programs] == [0, 0]
    assert not list(cache_folder.glob("*.part"))


def test_a_lesson_is_spoken_though_its_cache_is_damaged(
    open_box: Callable[..., VoiceBox], cache_folder: Path
) -> None:
    first = open_box()
    texts = ["One.", "Two.", "Three."]
    for text in texts:
        first.clip(text, BRITISH)
    first.close()
    for number, path in enumerate(sorted(cache_folder.iterdir())):
        path.write_bytes(path.read_bytes()[: 50 * number])
    box = open_box()
    assert [text for text in texts if box.clip(text, BRITISH).missing] == []
    again = open_box()
    assert [text for text in texts if again.clip(text, BRITISH).missing] == []
    assert not again._workers, "the damaged entries were replaced"


def test_a_note_is_believed_until_something_is_installed(
    cache_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert kept_voice.recall(cache_folder, "en-GB") is None
    kept_voice.note(cache_folder, "en-GB", "engine 1")
    assert kept_voice.recall(cache_folder, "en-GB") == "engine 1"
    assert kept_voice.recall(cache_folder, "fr") is None
    monkeypatch.setattr(kept_voice, "fingerprint", lambda: ["another"])
    assert kept_voice.recall(cache_folder, "en-GB") is None


@given(
    content=st.binary(max_size=100)
    | st.sampled_from([b"{}", b"[]", b'{"engine": 1, "installed": []}', b"[" * 9_000])
)
def test_a_damaged_note_is_no_note(content: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.getbasetemp()
    (folder / "engine-de.json").write_bytes(content)
    assert kept_voice.recall(folder, "de") is None


def test_a_clip_that_another_program_is_keeping_is_no_trouble(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """As where several lessons are exported side by side, and meet at a sentence they share."""
    cache, clip = ClipCache(tmp_path), a_clip()
    with file_writing._only_writer(tmp_path / "same.clip"):
        cache.put("same", content_of(clip))
        assert not (tmp_path / "same.clip").exists()
    found = cache.get("same")
    assert found is not None
    assert content_of(found) == content_of(clip)
    assert not caplog.records
