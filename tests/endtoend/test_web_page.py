"""The web page in a real browser: what it plays and draws, against the timeline and the outside reader."""

from __future__ import annotations

import base64
import io
import re
import shutil
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from selenium import webdriver
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

from caller.clock import ClockTime
from caller.export.programme import Programme
from caller.export.web import HEIGHT, WIDTH, web_page
from caller.export.web.pictures import FULL
from caller.lesson import Close, Example, Lesson, Opening, Practice, Round
from caller.runsheet import Call
from caller.runsheet.sequence import make_run_sheet
from caller.screen.layout import places
from caller.screen.raster import Raster
from caller.screen.theme import LIGHT
from caller.sound import SAMPLE_RATE
from caller.sound.kept_voice import ClipCache
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.picture import scene_at
from caller.timeline.segment import Timeline
from tests.reference.dial_reader import read_dial

pytestmark = pytest.mark.endtoend
CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
if CHROMIUM is None or DRIVER is None:
    pytest.skip("needs chromium and chromium-driver (installed by .ci/run)", allow_module_level=True)

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
    "--hide-scrollbars",
)
ROUNDS = (
    Round(time=ClockTime(4, 40), wrong=(ClockTime(8, 20),), moves=("star-jumps", "march"), answer="left"),
    Round(time=ClockTime(11, 55), wrong=(ClockTime(12, 55),), moves=("squats", "knee-lifts"), answer="right"),
    Round(time=ClockTime(2, 20), wrong=(ClockTime(2, 40),), moves=("march", "squats"), answer="right"),
)
LESSON = Lesson(
    title="Fives to the hour",
    class_name="Terns",
    step="fives-to",
    opening=Opening(safety=False, warm_up_seconds=0),
    worked_example=Example(skip=True),
    practice=Practice(skip=True),
    think_seconds=7,
    calm_last_round=False,
    rounds=ROUNDS,
    close=Close(breaths=0),
)
HEARD = 0.05  # of full scale: well over any noise, well under a word
ROUNDED_S = 0.001  # the page keeps times in whole milliseconds
# Gathers how loud it is, block by block, with the player's time at that moment.
LISTEN = """
    const audio = lessonPlayer.audio, context = new AudioContext();
    const tap = context.createScriptProcessor(512, 1, 1);
    window.taken = [];
    tap.onaudioprocess = function (event) {
      const block = event.inputBuffer.getChannelData(0);
      const peak = block.reduce((high, value) => Math.max(high, Math.abs(value)), 0);
      window.taken.push([audio.currentTime, peak]);
    };
    context.createMediaElementSource(audio).connect(tap);
    tap.connect(context.destination);
"""
DECODE = """
    const [sound, done] = arguments;
    const bytes = Uint8Array.from(atob(sound), letter => letter.charCodeAt(0));
    new OfflineAudioContext(1, 1, 24000).decodeAudioData(bytes.buffer).then(function (heard) {
      const limited = heard.getChannelData(0).map(value => 32767 * Math.max(-1, Math.min(1, value)));
      const raw = new Uint8Array(Int16Array.from(limited).buffer);
      let letters = "";
      for (let n = 0; n < raw.length; n += 32768)
        letters += String.fromCharCode(...raw.subarray(n, n + 32768));
      done([btoa(letters), heard.sampleRate]);
    });
"""


@pytest.fixture(scope="module")
def timeline(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Timeline]:
    with VoiceBox(ClipCache(tmp_path_factory.mktemp("clips"))) as voice:
        yield Timeline(make_run_sheet(LESSON), voice=voice, tones=load_tones())


@pytest.fixture(scope="module")
def page(timeline: Timeline, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "lesson.html"
    path.write_text(web_page(Programme(timeline)), encoding="utf-8")
    return path


def open_browser(profile: Path, *flags: str) -> Any:
    options = webdriver.ChromeOptions()
    options.binary_location = str(CHROMIUM)
    for flag in (*FLAGS, *flags, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    return webdriver.Chrome(options=options, service=webdriver.ChromeService(str(DRIVER)))


def look_through(browser: Any, width: int, height: int, *, phone: bool = False) -> None:
    metrics = {"width": width, "height": height, "deviceScaleFactor": 2 if phone else 1, "mobile": phone}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)


@pytest.fixture
def browser(page: Path, tmp_path: Path) -> Iterator[Any]:
    browser = open_browser(tmp_path / "profile")
    try:
        look_through(browser, 1366, 768)
        browser.get(page.as_uri())
        yield browser
        # Whatever a test did, the page had nothing to complain of and asked for nothing but itself.
        complaints = [each for each in browser.get_log("browser") if each["source"] != "deprecation"]
        assert complaints == []
        log = " ".join(each["message"] for each in browser.get_log("performance"))
        asked = re.findall(r'"Network\.requestWillBeSent".*?"url":"(\w+:[^"]{0,200})', log)
        assert page.as_uri() in asked
        own = ("file:", "blob:", "data:", "chrome:")  # the last for the browser's own first page
        assert [url for url in asked if not url.startswith(own)] == []
    finally:
        browser.quit()


def start_of(timeline: Timeline, kind: str, round_number: int) -> tuple[Call, float]:
    call = next(each for each in timeline.run_sheet.calls if (each.kind, each.round) == (kind, round_number))
    return call, timeline.starts()[call.number - 1] / SAMPLE_RATE


def jump(browser: Any, time_s: float) -> None:
    browser.execute_script("lessonPlayer.audio.currentTime = arguments[0]", time_s)


def stand_at(browser: Any, time_s: float) -> None:
    """Pause at a moment of the lesson and wait for its picture."""
    browser.execute_script("lessonPlayer.audio.pause()")
    jump(browser, time_s)
    deadline = time.monotonic() + 10
    while browser.execute_script("return lessonPlayer.audio.seeking"):
        assert time.monotonic() < deadline
        time.sleep(0.02)
    browser.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")


def picture_on_page(browser: Any) -> NDArray[np.int16]:
    """Return the picture's pixels, as large as they were drawn for."""
    box = browser.execute_script("return lessonPlayer.picture.getBoundingClientRect().toJSON()")
    shown = Image.open(io.BytesIO(browser.get_screenshot_as_png())).convert("RGB")
    scale = min(box["width"] / WIDTH, box["height"] / HEIGHT)
    left = box["x"] + (box["width"] - scale * WIDTH) / 2
    top = box["y"] + (box["height"] - scale * HEIGHT) / 2
    part = shown.crop((round(left), round(top), round(left + scale * WIDTH), round(top + scale * HEIGHT)))
    assert abs(part.width - WIDTH) <= 1, "choose a window in which the picture has its own size"
    return np.asarray(part.resize((WIDTH, HEIGHT)), np.int16)


@pytest.mark.parametrize(("round_number", "time_shown"), [(1, (4, 40)), (2, (11, 55))])
@pytest.mark.parametrize(("width", "height"), [(1366, 768), (390, 844)])
def test_the_drawn_dial_reads_right_at_its_time(
    browser: Any,
    timeline: Timeline,
    round_number: int,
    time_shown: tuple[int, int],
    width: int,
    height: int,
) -> None:
    look_through(browser, width, height, phone=width < height)
    call, start_s = start_of(timeline, "choices", round_number)
    stand_at(browser, start_s + 1.0)
    box = browser.execute_script("return lessonPlayer.picture.getBoundingClientRect().toJSON()")
    shown = Image.open(io.BytesIO(browser.get_screenshot_as_png())).convert("RGB")
    per_css = shown.width / browser.execute_script("return innerWidth")
    scale = per_css * min(box["width"] / WIDTH, box["height"] / HEIGHT)
    centre_x, centre_y = per_css * (box["x"] + box["width"] / 2), per_css * (box["y"] + box["height"] / 2)
    dial = places(call.board, WIDTH, HEIGHT).middle.dials[0]
    x, y = centre_x + scale * (dial.centre[0] - WIDTH / 2), centre_y + scale * (dial.centre[1] - HEIGHT / 2)
    reach = 1.03 * scale * dial.radius
    pixels = np.asarray(shown.crop((round(x - reach), round(y - reach), round(x + reach), round(y + reach))))
    assert read_dial(pixels).time == time_shown


def test_the_page_shows_the_picture_of_the_hall(browser: Any, timeline: Timeline) -> None:
    look_through(browser, WIDTH, HEIGHT + 200)
    browser.execute_script("document.getElementById('start').hidden = true")
    for part in ("place", "controls", "keys"):
        browser.execute_script(f"document.getElementById('{part}').style.display = 'none'")
    look_through(browser, WIDTH, HEIGHT)
    raster = Raster(WIDTH, HEIGHT)
    for kind, into_s in (("choices", 2.2), ("move", 3.1), ("reason", 2.0), ("reason", 6.0), ("answer", 3.0)):
        call, start_s = start_of(timeline, kind, 1)
        layout = timeline.segment(call).layout
        into_s = min(into_s, layout.length / SAMPLE_RATE - 0.1)
        # In the middle between two pictures, so that rounding a time cannot choose another one.
        frame = round((start_s + into_s) * FULL.rate_hz)
        time_s = (frame + 0.5) / FULL.rate_hz
        stand_at(browser, time_s)
        sample = round((frame / FULL.rate_hz - start_s) * SAMPLE_RATE)
        scene = scene_at(layout, sample)
        scene = replace(scene, move_s=FULL.moving_s(scene.move_s))
        expected = raster.draw(scene, LIGHT)[..., 2::-1].astype(np.int16)
        apart = np.abs(picture_on_page(browser) - expected).max(axis=2)
        # Two renderers smooth edges, and letters above all, in their own ways.
        assert apart.mean() < 2.0, (kind, into_s)
        assert (apart > 128).mean() < 0.004, (kind, into_s)


def decoded(browser: Any, page: Path) -> tuple[NDArray[np.float32], int]:
    """Return the page's sound as the browser itself decodes it."""
    text = re.search(r'type="text/plain">([^<]*)<', page.read_text("utf-8"))
    assert text is not None
    found = browser.execute_async_script(DECODE, text[1])
    samples = np.frombuffer(base64.b64decode(found[0]), "<i2").astype(np.float32)
    return samples / np.float32(32_768), int(found[1])


def late_by_ms(
    sent: NDArray[np.float32], at: int, heard: NDArray[np.float32], rate: int, expected: int
) -> float:
    """Return how late a tone that was sent at the sample `at` is heard, by correlation within 50 ms."""
    step = SAMPLE_RATE // rate
    shape, reach = sent[at : at + SAMPLE_RATE // 4 : step], rate // 20
    begin = expected // step
    around = np.pad(heard, reach)[begin : begin + shape.size + 2 * reach]
    return 1000 * (int(np.argmax(np.correlate(around, shape, mode="valid"))) - reach) / rate


def test_every_tone_sounds_at_its_time_in_the_browsers_own_decoding(
    browser: Any, page: Path, timeline: Timeline
) -> None:
    heard, rate = decoded(browser, page)
    late_ms = []
    for call, start in zip(timeline.run_sheet.calls, timeline.starts(), strict=False):
        segment = timeline.segment(call)
        sent = segment.render(0, segment.length)
        late_ms += [
            late_by_ms(sent, event.start, heard, rate, start + event.start)
            for event in segment.layout.events
            if event.kind == "tone" and event.tone in ("attention", "beep")
        ]
    assert len(late_ms) > 10
    assert np.abs(late_ms).max() < 5.0


def test_what_is_heard_keeps_step_with_what_is_shown_after_jumps(browser: Any, timeline: Timeline) -> None:
    browser.execute_script(LISTEN)
    browser.find_element("id", "start").click()
    apart_s = []
    for number in (2, 1, 3, 1):
        call, start_s = start_of(timeline, "answer", number)
        # Begin in the quiet before the answer, so that its onset is heard.
        jump(browser, start_s - 0.4)
        browser.execute_script("window.taken = []")
        time.sleep(1.6)
        taken = np.array(browser.execute_script("return window.taken"))
        sent = timeline.segment(call).render(0, SAMPLE_RATE)
        expected = start_s + float(np.argmax(np.abs(sent) > HEARD)) / SAMPLE_RATE
        after = taken[taken[:, 0] > expected - 0.1]
        apart_s.append(float(after[np.argmax(after[:, 1] > HEARD), 0]) - expected)
    # ITU-R BT.1359-1: sound is not noticed early up to 45 ms, nor late up to 125 ms.
    assert all(-0.045 < late_s < 0.125 for late_s in apart_s), apart_s


def press(browser: Any, key: str) -> None:
    ActionChains(browser).send_keys(key).perform()


def test_keys_and_presenters_lead_the_lesson(browser: Any, timeline: Timeline) -> None:
    starts_s = [start / SAMPLE_RATE for start in timeline.starts()]

    def now_s() -> float:
        return float(browser.execute_script("return lessonPlayer.audio.currentTime"))

    def paused() -> bool:
        return bool(browser.execute_script("return lessonPlayer.audio.paused"))

    assert paused()
    browser.find_element("id", "start").click()
    time.sleep(0.6)
    assert not paused()
    browser.execute_script("document.activeElement.blur()")
    for key in (Keys.PAGE_DOWN, Keys.ARROW_RIGHT):
        press(browser, key)
    assert starts_s[2] - ROUNDED_S <= now_s() < starts_s[2] + 1.0
    for key in (Keys.PAGE_UP, Keys.ARROW_LEFT):
        press(browser, key)
    assert now_s() < 1.0
    for key in (".", "b", Keys.SPACE):
        press(browser, key)
        time.sleep(0.1)
        assert paused()
        press(browser, key)
        time.sleep(0.3)
        assert not paused()
    _, think_s = start_of(timeline, "move", 1)
    jump(browser, think_s + 2)
    time.sleep(0.2)
    press(browser, "r")
    _, question_s = start_of(timeline, "question", 1)
    assert question_s - ROUNDED_S <= now_s() < question_s + 1.0
    press(browser, Keys.ESCAPE)
    time.sleep(0.1)
    assert paused()


def test_a_call_that_was_paused_is_said_again_from_its_start(browser: Any, timeline: Timeline) -> None:
    browser.find_element("id", "start").click()
    _, start_s = start_of(timeline, "choices", 1)
    jump(browser, start_s + 3)
    time.sleep(0.3)
    pause = browser.find_element("id", "pause")
    pause.click()
    WebDriverWait(browser, 5).until(lambda _: pause.text == "Go on")
    pause.click()
    WebDriverWait(browser, 5).until(lambda _: pause.text == "Pause")
    assert (
        start_s - ROUNDED_S <= browser.execute_script("return lessonPlayer.audio.currentTime") < start_s + 1.0
    )


def test_captions_come_and_go_in_the_picture_and_under_it_on_a_phone(
    browser: Any, timeline: Timeline
) -> None:
    call, start_s = start_of(timeline, "question", 1)
    stand_at(browser, start_s + 0.2)
    words = call.lines[0].written

    def in_picture() -> bool:
        return words in " ".join(
            str(browser.execute_script("return lessonPlayer.picture.textContent")).split()
        )

    def under() -> bool:
        caption = browser.find_element("id", "caption")
        assert caption.get_dom_attribute("lang") == "en-GB"
        return bool(caption.is_displayed()) and caption.text == words

    assert in_picture()
    assert not under()
    browser.find_element("id", "captions").click()
    stand_at(browser, start_s + 0.2)
    assert not in_picture()
    look_through(browser, 390, 844, phone=True)
    stand_at(browser, start_s + 0.2)
    assert not under()
    press(browser, "c")
    stand_at(browser, start_s + 0.2)
    assert under()
    assert not in_picture()


def test_reduced_motion_is_respected(browser: Any, timeline: Timeline) -> None:
    _, start_s = start_of(timeline, "move", 1)

    def pictures_in_two_seconds() -> int:
        drawn = set()
        for step in range(20):
            stand_at(browser, start_s + 1.02 + step / 10)
            drawn.add(
                browser.execute_script(
                    "return lessonPlayer.picture.innerHTML.length + ':' + lessonPlayer.picture.innerHTML"
                )
            )
        return len(drawn)

    lively = pictures_in_two_seconds()
    browser.execute_cdp_cmd(
        "Emulation.setEmulatedMedia", {"features": [{"name": "prefers-reduced-motion", "value": "reduce"}]}
    )
    calm = pictures_in_two_seconds()
    assert lively >= 18
    assert calm <= 6


def test_nothing_sounds_before_start_and_every_button_has_a_name_and_can_be_reached(browser: Any) -> None:
    time.sleep(0.5)
    assert browser.execute_script("return lessonPlayer.audio.paused && lessonPlayer.audio.currentTime === 0")
    reached = []
    for _ in range(7):
        press(browser, Keys.TAB)
        reached.append(browser.execute_script("return document.activeElement.innerText.trim()"))
        width = browser.execute_script("return getComputedStyle(document.activeElement).outlineWidth")
        assert float(width.removesuffix("px")) >= 2.0
    assert reached == ["Start", "Back", "Pause", "Repeat", "Next", "Captions", "Full screen"]
    label = browser.find_element("id", "picture").get_attribute("aria-label")
    assert "Fives to the hour" in label
