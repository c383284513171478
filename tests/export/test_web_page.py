from __future__ import annotations

import base64
import hashlib
import io
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from html.parser import HTMLParser
from typing import Any

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.export.programme import Programme
from caller.export.web import board_in_words, mp3_bytes, packed, web_page
from caller.export.web.pictures import PictureBook
from caller.languages.folders import table
from caller.lesson import Lesson, Opening, Practice, Round
from caller.runsheet import Board, Dial, Lane
from caller.runsheet.sequence import make_run_sheet
from caller.screen.theme import LIGHT
from caller.sound import SAMPLE_RATE
from caller.sound.speech import VoiceSettings
from caller.sound.tones import load_tones
from caller.timeline.segment import Timeline


@dataclass
class Hum:
    """A clip of a fixed length instead of speech."""

    samples: NDArray[np.float32]
    peak: float = 0.1


class Hummer:
    def clip(self, text: str, settings: VoiceSettings) -> Hum:  # noqa: ARG002 - all sound alike
        count = 2_000 * len(text.split())
        return Hum((0.1 * np.sin(np.arange(count) * 0.03)).astype(np.float32))

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        pass


LESSON = Lesson(
    title='Quarters </script> & "more"',
    class_name="Terns",
    opening=Opening(warm_up_seconds=0),
    practice=Practice(skip=True),
    think_seconds=5,
    rounds=(Round(time=ClockTime(4, 45)),),
)


@pytest.fixture(scope="module")
def timeline() -> Timeline:
    return Timeline(make_run_sheet(LESSON), voice=Hummer(), tones=load_tones())


@pytest.fixture(scope="module")
def page(timeline: Timeline) -> str:
    return web_page(Programme(timeline))


class Blocks(HTMLParser):
    """Gathers every element's attributes, and the text of scripts and styles."""

    def __init__(self) -> None:
        super().__init__()
        self.attributes: list[tuple[str, str | None]] = []
        self.blocks: list[tuple[str, str]] = []
        self._inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.attributes += attrs
        if tag in ("script", "style"):
            self._inside = tag
            self.blocks.append((tag + "#" + (dict(attrs).get("id") or ""), ""))

    def handle_endtag(self, tag: str) -> None:  # noqa: ARG002 - the ones looked at hold no others
        self._inside = ""

    def handle_data(self, data: str) -> None:
        if self._inside:
            name, text = self.blocks[-1]
            self.blocks[-1] = (name, text + data)


@pytest.fixture(scope="module")
def blocks(page: str) -> Blocks:
    parser = Blocks()
    parser.feed(page)
    return parser


@pytest.fixture(scope="module")
def data(blocks: Blocks) -> dict[str, Any]:
    return dict(json.loads(dict(blocks.blocks)["script#lesson-data"]))


def test_the_page_names_nothing_to_fetch(page: str, blocks: Blocks) -> None:
    names = [
        (name, value)
        for name, value in blocks.attributes
        if name in ("src", "href", "srcset", "data", "action")
    ]
    assert names == []
    # A name space of XML is a name: nothing is fetched from it.
    told = re.sub(r"[A-Za-z0-9+/=]{200,}", "", page)  # sound in base64, which has "ws//" in it now and then
    addresses = set(re.findall(r"(?:https?|ftp|wss?):?//[^\"'\s)<]*", told)) - {"http://www.w3.org/2000/svg"}
    assert addresses == set()
    assert re.findall(r"url\((?!data:|#)[^)]*\)", page) == []
    assert "@import" not in page
    assert not re.search(r"\b(fetch|XMLHttpRequest|WebSocket|EventSource|sendBeacon|import)\s*\(", page)


def test_the_page_forbids_itself_everything_but_its_own_parts(page: str, blocks: Blocks) -> None:
    policy = next(
        value for name, value in blocks.attributes if name == "content" and value and "default" in value
    )
    assert "default-src 'none'" in policy
    scripts = [text for name, text in blocks.blocks if name == "script#"]
    styles = [text for name, text in blocks.blocks if name == "style#"]
    assert len(scripts) == len(styles) == 1
    # CSP level 3: the hash is of the text between the tags, as base64.
    for kind, text in (("script-src", scripts[0]), ("style-src", styles[0])):
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{kind} 'sha256-{digest}'" in policy
    assert "unsafe" not in policy


def test_the_page_has_one_heading_of_the_first_rank(page: str) -> None:
    """As axe's rule page-has-heading-one asks; the title is in it."""
    assert page.count("<h1") == 1


def test_a_title_cannot_break_out_of_the_page(page: str, data: dict[str, Any]) -> None:
    assert "<title>Quarters &lt;/script&gt; &amp; &quot;more&quot;, Terns</title>" in page
    assert any('Quarters </script> & "more"' in words for words in data["captions"]["words"])


def test_every_picture_can_be_put_together(data: dict[str, Any]) -> None:
    for track in data["tracks"].values():
        assert track["starts_ms"][0] == 0
        assert track["starts_ms"] == sorted(set(track["starts_ms"]))
        assert len(track["starts_ms"]) == len(track["pictures"])
        for picture in set(track["pictures"]):
            for group in data["pictures"][picture]:
                for markup, path in data["symbols"][data["groups"][group][0]]:
                    if path >= 0:
                        assert data["paths"][path].startswith("M")
                        assert data["markup"][markup].startswith("<path")
                        assert data["markup"][markup].endswith("/>")


def test_calls_begin_where_the_timeline_says(data: dict[str, Any], timeline: Timeline) -> None:
    starts_ms = [1000 * start / SAMPLE_RATE for start in timeline.starts()]
    assert data["calls"]["starts_ms"] == pytest.approx(starts_ms[:-1], abs=0.5)
    assert data["end_s"] == pytest.approx(starts_ms[-1] / 1000)


def test_a_repeat_in_think_time_goes_back_to_the_question(data: dict[str, Any], timeline: Timeline) -> None:
    kinds = [(call.kind, call.round) for call in timeline.run_sheet.calls]
    repeats = data["calls"]["repeats"]
    think = kinds.index(("move", 1))
    assert kinds[repeats[think]] == ("question", 1)
    answer = kinds.index(("answer", 1))
    assert repeats[answer] == answer


def test_captions_are_the_words_at_their_own_times(data: dict[str, Any], timeline: Timeline) -> None:
    calls, starts = timeline.run_sheet.calls, timeline.starts()
    expected = [
        (round(1000 * (start + span.start) / SAMPLE_RATE), span.line.written)
        for call, start in zip(calls, starts, strict=False)
        for span in timeline.segment(call).layout.spans
        if span.line.written
    ]
    found = list(zip(data["captions"]["starts_ms"], data["captions"]["words"], strict=True))
    assert [pair for pair in found if pair in expected] == expected


def test_each_caption_is_marked_with_the_language_that_it_is_in() -> None:
    """WCAG 2.2, 3.1.2, language of parts: French words are told by their accents and little words."""
    both = replace(LESSON, second_language="fr")
    programme = Programme(Timeline(make_run_sheet(both), voice=Hummer(), tones=load_tones()))
    blocks = Blocks()
    blocks.feed(web_page(programme, book=PictureBook(width=16, height=9, theme=LIGHT), sound=b"-"))
    captions = json.loads(dict(blocks.blocks)["script#lesson-data"])["captions"]
    found = dict(zip(captions["words"], captions["languages"], strict=True))
    french = re.compile(r"\b(le|la|les|il est|une|faites|pas|est)\b|[éèêàçùœ]", re.IGNORECASE)
    marked = {
        language: [words for words in found if found[words] == language] for language in ("en-GB", "fr")
    }
    assert min(map(len, marked.values())) >= 10
    assert not [words for words in marked["en-GB"] if french.search(words)]
    assert sum(bool(french.search(words)) for words in marked["fr"]) > 0.6 * len(marked["fr"])


def test_the_sound_is_the_lessons_sound_in_time(page: str, timeline: Timeline, blocks: Blocks) -> None:
    sound = base64.b64decode(dict(blocks.blocks)["script#lesson-sound"])
    with av.open(io.BytesIO(sound), "r") as container:
        stream = container.streams.audio[0]
        assert stream.codec_context.name.startswith("mp3")
        heard = np.concatenate([frame.to_ndarray().reshape(-1) for frame in container.decode(stream)])
        rate = stream.codec_context.sample_rate
    call = next(call for call in timeline.run_sheet.calls if call.kind == "question")
    start = timeline.starts()[call.number - 1]
    sent = timeline.segment(call).render(0, SAMPLE_RATE)
    # Both at the lower rate; where the two agree best is where the sound was put.
    sent = sent[:: SAMPLE_RATE // rate]
    at = round(start * rate / SAMPLE_RATE)
    shifts = range(-rate // 10, rate // 10)
    likeness = [float(np.dot(heard[at + shift : at + shift + sent.size], sent)) for shift in shifts]
    assert abs(shifts[int(np.argmax(likeness))]) <= 0.002 * rate


def test_sound_at_a_constant_bit_rate_is_as_long_as_what_went_in() -> None:
    def chunks() -> Any:
        for n in range(5):
            yield np.sin(np.arange(SAMPLE_RATE) * 0.05 + n).astype(np.float32) * np.float32(0.3)

    with av.open(io.BytesIO(mp3_bytes(chunks())), "r") as container:
        stream = container.streams.audio[0]
        sizes = [packet.size for packet in container.demux(stream) if packet.size]
        assert container.duration is not None
        assert container.duration / av.time_base == pytest.approx(5.0, abs=0.06)
    assert max(sizes) - min(sizes) <= 1  # one byte of padding keeps the rate


def test_a_board_is_told_in_words_for_a_screen_reader() -> None:
    board = Board(
        layout="clock",
        dials=(Dial(time=ClockTime(4, 40)),),
        lanes=(
            Lane(side="left", numeral="4:40", words="twenty to five", move="march", move_name="march"),
            Lane(side="right", numeral="8:20", words="twenty past eight", move="squats", move_name="squats"),
        ),
        progress="3 / 10",
    )
    assert board_in_words(board) == "4:40 twenty to five march. 8:20 twenty past eight squats. 3 / 10"


def test_packed_arcs_are_the_same_arcs() -> None:
    path = "M1 2a13.85 13.85 0 0 1 13.4-10.2l3 4a2 2 0 0 0-1 .5z"
    assert packed(path) == "M1 2p13.85 13.4-10.2l3 4o2 -1 .5z"
    # As the player writes them out.
    written = re.sub(
        r"([op])([\d.]+) ",
        lambda arc: f"a{arc[2]} {arc[2]} 0 0 {int(arc[1] == 'p')} ",
        packed(path),
    )
    assert written.replace(" -", "-") == path


@pytest.mark.parametrize("language", ["en-GB", "en-US", "es", "fr", "de"])
def test_every_language_has_every_word_of_the_page(language: str) -> None:
    words = table(language, "page")
    assert words.keys() == table("en-GB", "page").keys()
    if not language.startswith("en"):
        assert [name for name in words if words[name] == table("en-GB", "page")[name]] in ([], ["pause"])


def test_the_pages_keys_are_the_halls_by_the_names_that_browsers_give_them(data: dict[str, Any]) -> None:
    """Names: W3C, UI Events KeyboardEvent key Values (from memory)."""
    keys = data["keys"]
    assert {keys[name] for name in (" ", "b", ".", "F5")} == {"pause"}
    assert {keys[name] for name in ("PageDown", "ArrowRight", "Enter")} == {"next"}
    assert {keys[name] for name in ("PageUp", "ArrowLeft")} == {"back"}
    assert {keys[name] for name in ("r", "Home")} == {"repeat"}
    assert set(keys.values()) == {"pause", "repeat", "next", "back", "full"}
