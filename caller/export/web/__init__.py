"""One web page that holds a whole lesson: data, sound, typefaces, style and player; it fetches nothing.

MP3, because every browser of a school plays it: the free builds of Chromium and Firefox on Linux
lack AAC, and Safari took Opus late and not in every container (from memory). A constant bit rate,
because browsers find a place in it by counting bytes, so that jumps land within a frame of 24 ms.
24 kHz keeps all of a voice that was made at 22 kHz.

Made for a school laptop that allows no installs: the file opens from a stick, fetches nothing, and
needs only a browser of the last years.
"""

from __future__ import annotations

import base64
import hashlib
import html
import io
import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from importlib.resources import files
from pathlib import Path
from string import Template
from typing import Any, Final

import av
import numpy as np
from numpy.typing import NDArray

from caller.export.formats import Job, Progress
from caller.export.programme import LOSSY_MARGIN_DB, Programme, levelled, measure
from caller.export.web.pictures import PictureBook, Track
from caller.file_writing import fill
from caller.languages.folders import table
from caller.runsheet import ASKING, Board, Call
from caller.screen.keytable import Action, browser_keys
from caller.screen.text import typeface
from caller.screen.theme import LIGHT, THEMES, Theme
from caller.sound import SAMPLE_RATE
from caller.sound.mixing import to_mono
from caller.timeline import CallLayout, seconds_of

PAGE_RATE_HZ: Final = 24_000
BIT_RATE: Final = 40_000
# Of LAME's ten. At this rate the error lay 28.5 dB below a lesson's sound, and smaller in every octave than
# with its fifth (24.0 dB), which takes half as long again and added 1.1 dB to the peaks; this one added none.
_QUICK: Final = {"compression_level": "7"}


def lesson_sound(programme: Programme) -> bytes:
    """Return a lesson's sound, at its level, as an MP3 file: mono, since most pages are heard on a phone."""
    measured = programme.measured if programme.channels == 1 else measure(_in_mono(programme))
    return mp3_bytes(levelled(_in_mono(programme), measured, margin_db=LOSSY_MARGIN_DB))


def _in_mono(programme: Programme) -> Iterator[NDArray[np.float32]]:
    return map(to_mono, programme.blocks())


def mp3_bytes(blocks: Iterable[NDArray[np.float32]]) -> bytes:
    """Return sound, given in blocks of mono at `SAMPLE_RATE`, as an MP3 file."""
    file = io.BytesIO()
    with av.open(file, "w", format="mp3") as container:
        stream = container.add_stream("libmp3lame", rate=PAGE_RATE_HZ, options=_QUICK)
        stream.layout = "mono"
        stream.bit_rate = BIT_RATE
        resampler = av.AudioResampler(format="fltp", layout="mono", rate=PAGE_RATE_HZ)
        done = 0
        for samples in blocks:
            frame = av.AudioFrame.from_ndarray(samples.reshape(1, -1), format="fltp", layout="mono")
            frame.sample_rate = SAMPLE_RATE
            frame.pts = done
            done += samples.size
            for resampled in resampler.resample(frame):
                container.mux(stream.encode(resampled))
        for resampled in resampler.resample(None):
            container.mux(stream.encode(resampled))
        container.mux(stream.encode(None))
    return file.getvalue()


WIDTH, HEIGHT = 1280, 720  # the size the pictures are drawn for; a browser scales them without loss
_ARC = re.compile(r"a([\d.]+) \1 0 0 ([01]) ?")
_PICTURES_SHARE: Final = 0.9  # of the time that a page takes to make; its sound is made meanwhile

_ACTIONS: Final = {
    Action.PAUSE: "pause",
    Action.REPEAT: "repeat",
    Action.NEXT: "next",
    Action.BACK: "back",
    Action.FULL_SCREEN: "full",
}
"""What the player calls that of the hall's actions which it has."""


def web_page(
    programme: Programme,
    *,
    theme: Theme = LIGHT,
    book: PictureBook | None = None,
    sound: bytes | None = None,
    progress: Progress = lambda _share: None,
) -> str:
    """Return the lesson as one HTML file.

    Parameters
    ----------
    book, sound
        What `sound_and_pictures` made of it already.
    progress
        Is told the share done, from 0 to 1.
    """
    run_sheet, starts = programme.run_sheet, programme.starts
    words = table(run_sheet.language, "page")
    if book is None or sound is None:
        sound, book = sound_and_pictures(programme, theme=theme, progress=progress)
    data = {
        "end_s": seconds_of(starts[-1]),
        "words": words,
        "keys": browser_keys(_ACTIONS),
        "calls": _calls(run_sheet.calls, starts, words),
        "captions": _captions(programme.layouts, starts),
        "tracks": {name: _as_dict(track) for name, track in book.tracks.items()},
        "pictures": book.pictures.items,
        "groups": book.pieces.groups.items,
        "symbols": book.pieces.symbols.items,
        "markup": book.pieces.markup.items,
        "paths": [packed(path) for path in book.pieces.paths.items],
    }
    script, style = _asset("player.js"), _style(theme)
    title = ", ".join(part for part in (run_sheet.title, run_sheet.class_name) if part) or words["picture"]
    return Template(_asset("page.html")).substitute(
        {name.replace("-", "_"): html.escape(text) for name, text in words.items()},
        language=run_sheet.language,
        title=html.escape(title),
        width=WIDTH,
        height=HEIGHT,
        script=script,
        script_hash=_hash(script),
        style=style,
        style_hash=_hash(style),
        data=_json(data),
        sound=base64.b64encode(sound).decode(),
    )


def sound_and_pictures(
    programme: Programme, *, theme: Theme = LIGHT, progress: Progress = lambda _share: None
) -> tuple[bytes, PictureBook]:
    """Return a lesson's sound as an MP3 file, encoded while its pictures are drawn, and those."""
    with ThreadPoolExecutor(1, thread_name_prefix="sound") as encoder:
        encoded = encoder.submit(lesson_sound, programme)
        try:
            book = picture_book(
                programme, theme=theme, progress=lambda done: progress(_PICTURES_SHARE * done)
            )
            return encoded.result(), book
        except BaseException:
            programme.give_up()
            raise


def picture_book(
    programme: Programme, *, theme: Theme = LIGHT, progress: Progress = lambda _share: None
) -> PictureBook:
    """Return all pictures of a lesson; `progress` is told the share done, from 0 to 1."""
    book = PictureBook(width=WIDTH, height=HEIGHT, theme=theme)
    for layout, start in zip(programme.layouts, programme.starts, strict=False):
        book.add(layout, start)
        progress((start + layout.length) / programme.length)
    return book


def packed(path: str) -> str:
    """Return path data with its arcs in fewer letters; the player writes them out again.

    Round limbs make most of a page, and an arc of a circle tells its radius twice and three flags.
    """
    return _ARC.sub(lambda arc: f"{'op'[int(arc[2])]}{arc[1]} ", path)


def _asset(name: str) -> str:
    return files(__package__).joinpath(name).read_text("utf-8")


def _as_dict(track: Track) -> dict[str, list[int]]:
    return {"starts_ms": track.starts_ms, "pictures": track.pictures}


def _calls(calls: Sequence[Call], starts: Sequence[int], words: Mapping[str, str]) -> dict[str, list[Any]]:
    """Return for each call its start, where a repeat begins, where the lesson is, its board in words."""
    repeats = list(range(len(calls)))
    for n, call in enumerate(calls):
        # In think time the question and the choices are wanted again, as in the hall.
        if n and call.kind in ASKING and calls[n - 1].kind in ASKING and calls[n - 1].round == call.round:
            repeats[n] = repeats[n - 1]
    rounds = max((call.round or 0 for call in calls), default=0)
    return {
        "starts_ms": [round(1000 * seconds_of(start)) for start in starts[:-1]],
        "repeats": repeats,
        "places": [
            words["round"].format(n=f"{call.round}/{rounds}") if call.round else call.board.title
            for call in calls
        ],
        "labels": [board_in_words(call.board) or words["picture"] for call in calls],
    }


def board_in_words(board: Board) -> str:
    """Return what stands on a board, for a screen reader; the dial is told by the voice."""
    parts = [board.title, *board.points, board.asked, board.asked_words]
    parts += [dial.label for dial in board.dials]
    parts += [
        " ".join(part for part in (lane.numeral, lane.words, lane.move_name) if part) for lane in board.lanes
    ]
    parts += [board.move_name, board.progress]
    return ". ".join(part.rstrip(".") for part in parts if part)


def _captions(layouts: Sequence[CallLayout], starts: Sequence[int]) -> dict[str, list[Any]]:
    """Return every caption with its start and language, for the phone's line under the picture."""
    starts_ms, words, languages = [0], [""], [""]
    for layout, start in zip(layouts, starts, strict=False):
        for span in layout.spans:
            if span.line.written:
                starts_ms.append(round(1000 * seconds_of(start + span.start)))
                words.append(span.line.written)
                languages.append(span.line.language)
    return {"starts_ms": starts_ms, "words": words, "languages": languages}


def _json(data: Mapping[str, Any]) -> str:
    """Return JSON that cannot end the block it stands in."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return text.replace("</", "<\\/").replace("<!--", "\\u003c!--")


def _hash(text: str) -> str:
    """Return what the page's own security policy calls this text (Content Security Policy, level 3)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _style(theme: Theme) -> str:
    return Template(_asset("player.css")).substitute(
        faces=_face("Lexend-Regular", bold=False) + "\n" + _face("Lexend-Bold", bold=True),
        background=_css(theme.background),
        ink=_css(theme.ink),
        quiet=_css(theme.quiet),
        face=_css(theme.face),
        focus=_css(theme.strip),
        width=WIDTH,
        height=HEIGHT,
    )


def _face(name: str, *, bold: bool) -> str:
    """Return a typeface inside the style, under the weight that the drawing library asks for."""
    data = files("caller.screen").joinpath("fonts", f"{name}.ttf").read_bytes()
    source = f"url(data:font/ttf;base64,{base64.b64encode(data).decode()})"
    weight = typeface(bold).fontStyle().weight()
    return f"@font-face {{ font-family: Lexend; font-weight: {weight}; src: {source}; }}"


def _css(colour: int) -> str:
    return f"#{colour & 0xFFFFFF:06x}"


__all__ = ["web_page", "write"]


def write(job: Job, path: Path) -> None:
    """Write the lesson's page to `path`.

    Raises
    ------
    SoundError
        If sentences of the lesson could not be spoken.
    """
    job.programme.require_voice()
    page = web_page(job.programme, theme=THEMES[job.options.theme], progress=job.progress)
    fill(path, page)
