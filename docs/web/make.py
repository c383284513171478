"""Write the demo's web page, and keep pictures of it here as a laptop and a phone show it.

Run `python docs/web/make.py` after a change to the page, and look at the pictures. It needs Chromium (Debian:
packages chromium and chromium-driver); the test extra brings selenium.
"""

from __future__ import annotations

import shutil
import tempfile
import time
from pathlib import Path
from typing import Any

from selenium import webdriver

from caller.export.programme import Programme
from caller.export.web import web_page
from caller.lesson.library import find_lesson, read_lesson
from caller.runsheet.sequence import make_run_sheet
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import seconds_of
from caller.timeline.segment import Timeline

FOLDER = Path(__file__).parent
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--hide-scrollbars",
)
LAPTOP, PHONE = (1366, 768), (390, 844)
SEEN = (
    ("laptop-think", LAPTOP, "move", 6.0),
    ("laptop-reason", LAPTOP, "reason", 3.0),
    ("phone-reason", PHONE, "reason", 3.0),
)
"""File, window, the first round's call, and seconds into it."""


def main() -> None:
    """Draw them all."""
    with VoiceBox() as voice, tempfile.TemporaryDirectory() as folder:
        timeline = Timeline(make_run_sheet(read_lesson(find_lesson("demo"))), voice=voice, tones=load_tones())
        page = Path(folder) / "demo.html"
        page.write_text(web_page(Programme(timeline)), encoding="utf-8")
        starts = timeline.starts()
        browser = _browser(Path(folder) / "profile")
        try:
            for name, window, kind, into_s in SEEN:
                call = next(each for each in timeline.run_sheet.calls if (each.kind, each.round) == (kind, 1))
                _look(browser, page, window, seconds_of(starts[call.number - 1]) + into_s)
                browser.save_screenshot(str(FOLDER / f"{name}.png"))
        finally:
            browser.quit()


def _browser(profile: Path) -> Any:
    options = webdriver.ChromeOptions()
    options.binary_location = shutil.which("chromium") or ""
    for flag in (*FLAGS, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    return webdriver.Chrome(options=options, service=webdriver.ChromeService(shutil.which("chromedriver")))


def _look(browser: Any, page: Path, window: tuple[int, int], at_s: float) -> None:
    """Play the lesson from a moment on."""
    width, height = window
    metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": window == PHONE}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    browser.get(page.as_uri())
    browser.find_element("id", "start").click()
    browser.execute_script("lessonPlayer.audio.currentTime = arguments[0]", at_s)
    time.sleep(1.0)


if __name__ == "__main__":
    main()
