"""A lesson handed over: one folder that anyone can lead from, and finding such folders again.

It begins with a page of three steps, in the language of the lesson, for somebody who has one minute.
"""

from __future__ import annotations

import base64
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Final

import platformdirs

from caller.errors import UserError
from caller.export.formats import Job, Options, Progress, export
from caller.export.programme import Programme
from caller.export.web import sound_and_pictures, web_page
from caller.file_reading import is_file, read_bytes
from caller.file_writing import making_folder, write_bytes, write_text
from caller.languages import words
from caller.lesson import Lesson
from caller.lesson.library import read_lesson
from caller.moves.safety import who_decides
from caller.planning.classfile import LEAST_MINUTES, MOST_MINUTES, SchoolClass
from caller.planning.next_lessons import class_files, plan_next
from caller.planning.notes import script
from caller.screen.raster import png_bytes
from caller.screen.stage import draw_scene
from caller.screen.theme import LIGHT
from caller.scripts.source import MAX_BYTES
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.picture import scene_at
from caller.timeline.segment import Timeline

START: Final = "START.html"
_NAME: Final = "lesson"
_SCRIPT: Final = f"{_NAME}.toml"
_PAGE, _SHEET, _SOUND, _VIDEO = (f"{_NAME}{ending}" for ending in (".html", ".pdf", ".mp3", ".mp4"))
_SIZE: Final = (960, 540)
_MOST_LOOKED_AT: Final = 400  # folders: a full desktop, and a stick
_LOSE_BY_S: Final = 14 * 24 * 3600.0  # an older folder was for another day


def hand_over(
    school_class: SchoolClass,
    target: Path,
    *,
    voice: VoiceBox,
    minutes: int | None = None,
    beside: Path | None = None,
    video: bool = False,
    size: str = "720p",
    progress: Callable[[str], Progress] = lambda _name: lambda _share: None,
) -> None:
    """Plan a class's next lesson, and make the folder to lead it from; it appears when it is whole.

    Parameters
    ----------
    minutes
        The class's own if left out.
    beside
        Where the class file lies, for its hall.
    progress
        Given what is made next, returns what is told how much of it is done.

    Raises
    ------
    UserError
        If no lesson fits the minutes.
    CallerError
        If something cannot be written.
    """
    minutes = school_class.minutes if minutes is None else minutes
    if not LEAST_MINUTES <= minutes <= MOST_MINUTES:
        raise UserError(f"--minutes {minutes}: choose from {LEAST_MINUTES} to {MOST_MINUTES}.")
    with making_folder(target) as folder:
        progress(_SCRIPT)(0.0)
        plan = plan_next(school_class, minutes=minutes, voice=voice, folder=beside)
        write_text(folder / _SCRIPT, script(plan))
        hall = (class_files() if beside is None else beside) / school_class.hall
        if school_class.hall and is_file(hall):  # the lesson names it, so it comes along
            write_bytes(folder / hall.name, read_bytes(hall, most_bytes=MAX_BYTES))
        programme = Programme(Timeline(plan.run_sheet, voice=voice, tones=load_tones()))
        programme.require_voice()
        job = Job(programme=programme, options=Options(size=size, burn_captions=True))

        def make_rest(progress: Callable[[str], Progress]) -> None:
            told = progress(_PAGE)
            sound, book = sound_and_pictures(programme, progress=told)  # encoded once, for page and file
            write_text(folder / _PAGE, web_page(programme, book=book, sound=sound))
            told(1.0)
            write_bytes(folder / _SOUND, sound)
            export(replace(job, progress=progress(_SHEET)), folder / _SHEET)
            write_text(folder / START, start_page(programme, plan.lesson, video=video))

        if video:
            with _beside(programme, make_rest):
                export(replace(job, progress=progress(_VIDEO)), folder / _VIDEO)
        else:
            make_rest(progress)


@contextmanager
def _beside(programme: Programme, make: Callable[[Callable[[str], Progress]], None]) -> Iterator[None]:
    """Have something made of a lesson in a thread beside what the context does, and wait for it at the end.

    Where the context fails or is interrupted, so is what is made beside it.
    """

    def note(_share: float) -> None:
        programme.go_on()

    with ThreadPoolExecutor(1, thread_name_prefix="handover") as thread:
        making = thread.submit(make, lambda _name: note)
        try:
            yield
        except BaseException:
            programme.give_up()
            raise
        making.result()


def start_page(programme: Programme, lesson: Lesson, *, video: bool) -> str:
    """Return the first page; `video` tells whether the folder holds the lesson as a video too."""
    say = partial(words(lesson.language, "sheet").say)
    feet = "sitting" if lesson.seated else "shod" if lesson.shod else "barefoot"
    title = escape(lesson.title or say("handover.a-lesson"))
    who = escape(lesson.class_name)
    links = {
        "sound": f'<a href="{_SOUND}">{escape(say("handover.sound"))}</a>',
        "sheet": f'<a href="{_SHEET}">{escape(say("handover.sheet"))}</a>',
        "video": f' <a href="{_VIDEO}">{escape(say("handover.video"))}</a>' if video else "",
    }
    page = files("caller.export").joinpath("handover.html").read_text("utf-8")
    return page.format(
        language=lesson.language,
        title=say("handover.title-for", title=title, name=who) if who else say("handover.title", title=title),
        intro=escape(say("handover.intro", minutes=max(1, round(programme.length / 48_000 / 60)))),
        picture=base64.b64encode(_picture(programme)).decode("ascii"),
        picture_says=escape(say("handover.picture")),
        steps=escape(say("handover.steps")),
        clear=escape(f"{say('handover.clear')} {say(f'handover.{feet}')}"),
        connect=escape(say("handover.connect")),
        play=escape(say("handover.play")),
        press=say("handover.press", start=f"<b>{escape(words(lesson.language, 'page').say('start'))}</b>"),
        how_to_stop=escape(say("handover.how-to-stop")),
        stop=say(
            "handover.stop",
            space=f"<kbd>{escape(words(lesson.language, 'screen').say('button.space'))}</kbd>",
        ),
        careful=escape(f"{say('handover.careful')} {who_decides(lesson.language)}"),
        if_it_fails=escape(say("handover.if-it-fails")),
        no_picture=say("handover.no-picture", sound=links["sound"]) + links["video"],
        no_sound=say("handover.no-sound", sheet=links["sheet"]),
        in_the_program=say(
            "handover.in-the-program",
            standing_in=f"<b>{escape(words(lesson.language, 'screen').say('start.standing-in'))}</b>",
        ),
    )


def handed_over(places: Sequence[Path] | None = None, *, now_s: float | None = None) -> list[Path]:
    """Return the lesson scripts in folders that were handed over lately, the newest first.

    Parameters
    ----------
    places
        Where to look, and one folder deep in each; left out, the desktop, the user's usual folders and
        what is plugged in.
    now_s
        Seconds since 1970; what is two weeks older than it is left out. Nothing is, if left out.
    """
    found: dict[Path, float] = {}
    for place in _usual_places() if places is None else places:
        for folder in [place, *_folders_in(place)]:
            script_there = folder / _SCRIPT
            if is_file(folder / START) and is_file(script_there):
                try:
                    made_s = script_there.stat().st_mtime
                except OSError:
                    continue
                if now_s is None or made_s > now_s - _LOSE_BY_S:
                    found[script_there.resolve()] = made_s
    return sorted(found, key=lambda each: -found[each])


def place_for(school_class: SchoolClass, day: str) -> Path:
    """Return a folder that is not there yet for a class's handover: on the desktop, where there is one."""
    desktop = Path(platformdirs.user_desktop_dir())
    home = desktop if desktop.is_dir() else Path(platformdirs.user_documents_dir())
    plain = "".join(letter for letter in school_class.name if letter.isalnum() or letter in " -") or "class"
    name = f"{plain.strip()} {day}"
    names = [name, *(f"{name} ({number})" for number in range(2, 100))]
    return next((home / each for each in names if not (home / each).exists()), home / name)


def readable(scripts: Sequence[Path]) -> Iterator[tuple[Path, Lesson]]:
    """Yield those of some scripts that can be used, and the lessons that they are."""
    for each in scripts:
        try:
            yield each, read_lesson(each)
        except UserError:
            continue  # of another version, or half copied: whoever opens it is told


def _picture(programme: Programme) -> bytes:
    """Return what the children see when they are first asked, as a PNG."""
    asked = next(
        (layout for layout in programme.layouts if layout.call.round and len(layout.call.board.lanes) > 1),
        programme.layouts[0],
    )
    scene = scene_at(asked, asked.length - 1)
    width, height = _SIZE
    return png_bytes(partial(draw_scene, scene=scene, width=width, height=height, theme=LIGHT), width, height)


def _usual_places() -> list[Path]:
    """Return where somebody lays a folder for somebody else, on this system."""
    own = [
        platformdirs.user_desktop_dir(),
        platformdirs.user_documents_dir(),
        platformdirs.user_downloads_dir(),
    ]
    places = [Path(each) for each in own]
    if os.name == "nt":
        return places + [Path(f"{letter}:\\") for letter in "DEFGHIJK"]
    user = os.environ.get("USER", "")
    plugged = [Path("/media") / user if user else Path("/media"), Path("/run/media") / user, Path("/Volumes")]
    return places + [stick for place in plugged for stick in _folders_in(place)]


def _folders_in(place: Path) -> list[Path]:
    try:
        with os.scandir(place) as entries:
            folders = [Path(each.path) for each in entries if each.is_dir() and not each.name.startswith(".")]
    except OSError:
        return []
    return sorted(folders)[:_MOST_LOOKED_AT]
