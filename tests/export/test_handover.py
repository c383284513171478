"""A folder handed over: its first page in the language of the class, and the folder found again."""

from __future__ import annotations

import os
import re
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from caller.export import handover
from caller.export.formats import Job
from caller.export.handover import START, hand_over, handed_over, place_for, readable, start_page
from caller.export.programme import Programme
from caller.languages import CODES
from caller.lesson.library import find_lesson, read_lesson
from caller.planning.classfile import SchoolClass
from caller.runsheet import RunSheet

from .conftest import HummingVoice, short_lesson

ENGLISH = ("Start here", "Three steps", "How to stop", "Play the lesson", "dizziness", "Local rules")


class Page(HTMLParser):
    """Reads a page as a browser does: its language, its links and its words."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.language, self.links, self.words = "", [""], ""
        self._quiet = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self._quiet = tag == "style"
        if tag == "html":
            self.language = named["lang"] or ""
        elif tag == "a":
            self.links.append(named["href"] or "")

    def handle_endtag(self, tag: str) -> None:
        self._quiet = self._quiet and tag != "style"

    def handle_data(self, data: str) -> None:
        self.words += "" if self._quiet else data


@pytest.mark.parametrize("code", CODES)
def test_the_first_page_is_in_the_language_of_the_class(code: str, programme: Programme) -> None:
    lesson = replace(read_lesson(find_lesson("demo")), language=cast(Any, code), class_name="Terns & Co")
    page = Page(start_page(programme, lesson, video=False))
    assert page.language == code
    assert "Terns & Co" in page.words
    assert set(page.links) >= {"lesson.html#play", "lesson.mp3", "lesson.pdf"}
    assert not re.search(r"[{}]", page.words)
    for words in ENGLISH:
        assert (words in page.words) is code.startswith("en"), words


def test_folders_that_were_handed_over_are_found_the_newest_first(tmp_path: Path) -> None:
    text = find_lesson("demo").read_text(encoding="utf-8")
    for number, name in enumerate(("Terns monday", "Gannets tuesday", "no start", "old", ".hidden")):
        folder = tmp_path / "stick" / name
        folder.mkdir(parents=True)
        (folder / "lesson.toml").write_text(text if number else "spoilt", encoding="utf-8")
        if name != "no start":
            (folder / START).write_text("", encoding="utf-8")
        made_s = 1_000_000_000.0 + 60 * number - (30 * 24 * 3600 if name == "old" else 0)
        os.utime(folder / "lesson.toml", (made_s, made_s))
    found = handed_over([tmp_path / "stick", tmp_path / "nowhere"], now_s=1_000_000_500.0)
    assert [each.parent.name for each in found] == ["Gannets tuesday", "Terns monday"]
    assert [path.parent.name for path, _lesson in readable(found)] == ["Gannets tuesday"]


def test_no_folder_is_made_over_another(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("platformdirs.user_desktop_dir", lambda: str(tmp_path))
    of = SchoolClass(name="Terns/../x")
    first = place_for(of, "2026-11-27")
    assert first.parent == tmp_path
    first.mkdir()
    assert place_for(of, "2026-11-27") not in (first, tmp_path)


def test_a_video_that_is_handed_over_has_its_words_in_the_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, programme: Programme
) -> None:
    """Its sheet sends who has no sound to the words under the picture; a television shows no track."""
    lesson = read_lesson(find_lesson("demo"))
    plan = SimpleNamespace(lesson=lesson, run_sheet=programme.run_sheet)
    made: dict[str, Job] = {}
    for name, given in (
        ("plan_next", plan), ("script", ""), ("sound_and_pictures", (b"", None)), ("web_page", ""),
        ("Programme", programme), ("start_page", ""),
    ):  # fmt: skip
        monkeypatch.setattr(handover, name, lambda *_, given=given, **__: given)
    monkeypatch.setattr(handover, "export", lambda job, target: made.update({target.name: job}))
    monkeypatch.setattr(Programme, "require_voice", lambda _: None)
    hand_over(SchoolClass(name="Terns"), tmp_path / "new", voice=cast(Any, HummingVoice()), video=True)
    assert made["lesson.mp4"].options.burn_captions
    assert (tmp_path / "new" / START).exists()


def test_an_interrupted_video_ends_the_page_beside_it_and_leaves_no_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, programme_of: Callable[[RunSheet], Programme]
) -> None:
    programme = programme_of(short_lesson())  # one of its own: it is given up
    plan = SimpleNamespace(lesson=None, run_sheet=programme.run_sheet)
    for name, given in (("plan_next", plan), ("script", ""), ("Programme", programme)):
        monkeypatch.setattr(handover, name, lambda *_, given=given, **__: given)
    monkeypatch.setattr(Programme, "require_voice", lambda _: None)
    begun, ended = threading.Event(), threading.Event()

    def page(_programme: Programme, *, progress: Callable[[float], None]) -> None:
        begun.set()
        try:
            for _ in range(2_000):  # ten seconds, if nobody ends it
                progress(0.5)
                time.sleep(0.005)
        except KeyboardInterrupt:
            ended.set()
            raise

    def video(_job: Job, _target: Path) -> None:
        assert begun.wait(10)
        raise KeyboardInterrupt

    monkeypatch.setattr(handover, "sound_and_pictures", page)
    monkeypatch.setattr(handover, "export", video)
    with pytest.raises(KeyboardInterrupt):
        hand_over(SchoolClass(name="Terns"), tmp_path / "new", voice=cast(Any, HummingVoice()), video=True)
    assert ended.is_set()
    assert not (tmp_path / "new").exists()
