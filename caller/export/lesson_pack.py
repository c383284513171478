"""A lesson as one file for a colleague: script, hall, one's own tones, and recordings where they are wanted.

It is an ordinary zip archive. One that comes from elsewhere may be anybody's: nothing is unpacked to where it
says, only names of a fixed list are looked at, and what is in them is read as everything of its kind is.
"""

from __future__ import annotations

import re
import stat
import struct
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, LargeZipFile, ZipFile, ZipInfo

import tomlkit

from caller import paths
from caller.errors import CallerError, NotFoundError, UserError
from caller.file_reading import is_file, read_bytes
from caller.file_writing import check_target, fill, write_bytes
from caller.hall.hallfile import preset_names, read_hall
from caller.lesson.library import own_folder, read_lesson, ready_lessons
from caller.planning.staging import stage_of
from caller.scripts.source import MAX_BYTES
from caller.sound import SAMPLE_RATE
from caller.sound.kept_voice import DamagedClipError, from_bytes, to_bytes
from caller.sound.own_voice import LARGEST_BYTES, LONGEST_S, OWN, OwnVoice, Said, recording_name
from caller.sound.speech import Speech, finish_speech
from caller.sound.tone_recipes import RECIPES
from caller.sound.tones import (
    BEAT,
    MANIFEST,
    BeatEntry,
    ToneEntry,
    own_sounds,
    own_tones,
    read_loop,
    read_manifest,
    read_tone,
)
from caller.timeline.segment import said_in

ENDING: Final = ".zip"
MOST_BYTES: Final = 300_000_000
"""So large may a file be, and so large all that is in it."""

MOST_ENTRIES: Final = 1_000

_TOML: Final = ".toml"
_SCRIPT, _HALL, _SOUNDS, _VOICE = "lesson.toml", "hall.toml", "sounds", "own-voice"
_TONE_BYTES: Final = 30_000_000
_NAMES: Final = {
    re.escape(_SCRIPT): MAX_BYTES,
    re.escape(_HALL): MAX_BYTES,
    rf"{_SOUNDS}/{re.escape(MANIFEST)}": MAX_BYTES,
    rf"{_SOUNDS}/({'|'.join(map(re.escape, (*RECIPES, BEAT)))})\.wav": _TONE_BYTES,
    rf"{_VOICE}/[0-9a-f]{{64}}\.clip": LARGEST_BYTES,
}
_ENTRY_MARK: Final = b"PK\x01\x02"  # in a recording by chance at times: hence some more of them
_LIKELY_BY_CHANCE: Final = 100
_BROKEN: Final = (
    BadZipFile, LargeZipFile, zlib.error, struct.error,
    EOFError, OSError, ValueError, OverflowError, RuntimeError,
)  # fmt: skip
_EVERY_DAY: Final = (1980, 1, 1, 0, 0, 0)  # the same lesson makes the same file


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonPack:
    """What came out of a packed lesson, each part looked over.

    Attributes
    ----------
    name
        What the lesson will be called.
    hall_name
        The hall file that its script names; empty where it names none.
    tones
        What their list says of each, and the file itself.
    recordings
        Those of sentences that the lesson says.
    strange
        How many other recordings there were.
    """

    name: str
    script: bytes
    hall_name: str
    hall: bytes
    tones: Mapping[str, tuple[ToneEntry, bytes]]
    recordings: Mapping[Said, Speech]
    strange: int


def sentences_of(path: Path) -> list[Said]:
    """Return all that a lesson may say, to a class that has been led before and to one that has not."""
    lesson = read_lesson(path)
    stage = stage_of(lesson.hall, path.parent, lesson.class_name)
    led = [replace(stage, led_before=known).to_lead(lesson) for known in (False, True)]
    sheets = [sheet for each in led for sheet in (each.before, each.lesson, each.again)]
    return list(dict.fromkeys(said for sheet in sheets for call in sheet.calls for said in said_in(call)))


def packed(path: Path, *, own: OwnVoice | None) -> tuple[bytes, int, int]:
    """Return a lesson as one file, and how many tones and recordings are in it.

    Parameters
    ----------
    own
        Recordings to put in; none if None.

    Raises
    ------
    UserError
        If the lesson or its hall cannot be used, or it is too large.
    """
    lesson, wanted = read_lesson(path), sentences_of(path)
    parts = {_SCRIPT: read_bytes(path, most_bytes=MAX_BYTES)}
    if Path(lesson.hall).suffix.lower() == _TOML and is_file(path.parent / lesson.hall):
        parts[_HALL] = read_bytes(path.parent / lesson.hall, most_bytes=MAX_BYTES)
    tones = own_tones()
    listed = tomlkit.document()
    for name, (folder, entry) in tones.items():
        parts[f"{_SOUNDS}/{name}.wav"] = read_bytes(folder / entry.file, most_bytes=_TONE_BYTES)
        listed[name] = _listed(name, entry)
    if tones:
        parts[f"{_SOUNDS}/{MANIFEST}"] = tomlkit.dumps(listed).encode()
    recordings = {} if own is None else {said: own.get(said) for said in wanted}
    clips = {recording_name(said): clip for said, clip in recordings.items() if clip is not None}
    parts |= {f"{_VOICE}/{name}": to_bytes(clip) for name, clip in clips.items()}
    large = [name for name, content in parts.items() if len(content) > (_most_bytes(name) or 0)]
    if large or len(parts) > MOST_ENTRIES or sum(map(len, parts.values())) > MOST_BYTES:
        raise UserError(f"{path.name} with all its sounds is too large for one file: shorten your own tones.")
    whole = BytesIO()
    with ZipFile(whole, "w", ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            entry_info = ZipInfo(name, _EVERY_DAY)
            entry_info.external_attr = (stat.S_IFREG | 0o600) << 16
            archive.writestr(entry_info, content, ZIP_DEFLATED)
    return whole.getvalue(), len(tones), len(clips)


def unpacked(path: Path) -> LessonPack:
    """Return what is in a packed lesson; nothing is written.

    Raises
    ------
    UserError
        If it is no packed lesson, or something in it may not be there or cannot be used.
    """
    content = read_bytes(path, most_bytes=MOST_BYTES)
    if len(content) > MOST_BYTES or content.count(_ENTRY_MARK) > MOST_ENTRIES + _LIKELY_BY_CHANCE:
        raise _refused(path, "it is too large")
    try:
        with ZipFile(BytesIO(content)) as archive:
            parts = dict(_parts(archive, path))
    except _BROKEN as error:
        raise _refused(path, "it is damaged, or of another kind") from error
    if _SCRIPT not in parts:
        raise _refused(path, "there is no lesson in it")
    with TemporaryDirectory() as room:
        return _looked_over(parts, path.stem, Path(room))


def take_in(pack: LessonPack, *, tones: bool, own: OwnVoice | None, replace: bool) -> Path:
    """Write a packed lesson into the user's own folders and return where the lesson is.

    All is looked at before anything is written; what is there already and the same stays.

    Parameters
    ----------
    tones
        Whether its tones are taken too: they then sound in every lesson.
    own
        Where its recordings go; None leaves them out.
    replace
        Whether it may write over what is there already.

    Raises
    ------
    UserError
        If something is there already.
    """
    if pack.name in ready_lessons():
        raise UserError(f'There is a ready lesson "{pack.name}": give the file another name first.')
    script = own_folder() / f"{pack.name}.toml"
    files = {own_folder() / pack.hall_name: pack.hall} if pack.hall else {}
    manifest = own_sounds() / MANIFEST
    if tones and pack.tones:
        files |= {own_sounds() / f"{name}.wav": content for name, (_, content) in pack.tones.items()}
        if not replace:
            _check_tones(pack)
        files[manifest] = _with_listed(manifest, pack)
    files[script] = pack.script  # the last: whoever sees it has the rest
    new = {path: content for path, content in files.items() if not _is_there(path, content)}
    for path in new:
        paths.private_folder(path.parent)
        check_target(path, replace=replace or path == manifest)
    if own is not None and pack.recordings and len(own) and not replace:
        raise UserError(
            "There are recordings of a voice here already: add --replace if both are the same person's, or "
            "leave --own-voice out."
        )
    if own is not None:
        for said, clip in pack.recordings.items():
            own.keep(said, clip)
    for path, content in new.items():
        write_bytes(path, content, replace=replace or path == manifest, private=True)
    return script


def _parts(archive: ZipFile, path: Path) -> Iterator[tuple[str, bytes]]:
    """Yield the entries of an archive, where all of them may be there."""
    entries = archive.infolist()
    names = [each.filename for each in entries]
    if len(entries) > MOST_ENTRIES or sum(each.file_size for each in entries) > MOST_BYTES:
        raise _refused(path, "too much is in it")
    if len(set(names)) < len(names):
        raise _refused(path, "something is in it twice")
    for each in entries:
        most, kind = _most_bytes(each.filename), stat.S_IFMT(each.external_attr >> 16)
        plain = each.compress_type in (ZIP_STORED, ZIP_DEFLATED) and not each.flag_bits & 1
        if most is None or kind not in (0, stat.S_IFREG) or not plain:
            raise _refused(path, f'"{each.filename[:60]}" does not belong there')
        with archive.open(each) as stream:
            content = stream.read(most + 1)
        if len(content) > most:
            raise _refused(path, f'"{each.filename}" is too large')
        yield each.filename, content


def _looked_over(parts: Mapping[str, bytes], name: str, room: Path) -> LessonPack:
    """Return the parts as what they are; each is read from a folder of this process alone."""
    script = room / f"{name}.toml"
    fill(script, parts[_SCRIPT])
    lesson = read_lesson(script)
    hall = parts.get(_HALL, b"")
    if hall:
        beside = room / lesson.hall
        if Path(lesson.hall).suffix.lower() != _TOML or beside == script:
            raise UserError(f"{name}: the hall in the file is not the one that its lesson names.")
        fill(beside, hall)
        read_hall(beside)
    elif lesson.hall and lesson.hall not in preset_names():
        raise NotFoundError(
            f'{name}: its hall "{lesson.hall}" is not in the file. Ask for it to be packed again.'
        )
    clips = {Path(each).name: content for each, content in parts.items() if each.startswith(f"{_VOICE}/")}
    recordings = {}
    for said in sentences_of(script) if clips else ():
        if (clip := _clip(clips.get(recording_name(said), b""))) is not None:
            recordings[said] = clip
    return LessonPack(
        name=name,
        script=parts[_SCRIPT],
        hall_name=lesson.hall if hall else "",
        hall=hall,
        tones=dict(_tones(parts, name, room)),
        recordings=recordings,
        strange=len(clips) - len({recording_name(said) for said in recordings}),
    )


def _tones(
    parts: Mapping[str, bytes], name: str, room: Path
) -> Iterator[tuple[str, tuple[ToneEntry, bytes]]]:
    """Yield each tone with its file, where all of them can be used."""
    sounds = {each: content for each, content in parts.items() if each.startswith(f"{_SOUNDS}/")}
    if not sounds:
        return
    (room / _SOUNDS).mkdir()
    for each, content in sounds.items():
        fill(room / each, content)
    try:
        for tone, entry in read_manifest(room / _SOUNDS / MANIFEST).items():
            entry = replace(entry, file=f"{tone}.wav")  # whatever else it names is not opened
            if isinstance(entry, BeatEntry):
                read_loop(room / _SOUNDS, entry)
            else:
                read_tone(room / _SOUNDS, tone, entry)
            yield tone, (entry, sounds[f"{_SOUNDS}/{tone}.wav"])
    except CallerError as error:
        raise UserError(
            f"{name}: its tones cannot be used. Ask for the lesson to be packed again."
        ) from error


def _clip(content: bytes) -> Speech | None:
    """Return a recording as loud as every voice here; None where it cannot be used."""
    try:
        clip = from_bytes(content)
        if clip.samples.size > LONGEST_S * SAMPLE_RATE:
            return None
        return finish_speech(clip.samples, SAMPLE_RATE, words=None, voice=OWN)
    except (DamagedClipError, ValueError):
        return None


def _listed(name: str, entry: ToneEntry) -> tomlkit.items.Table:
    table = tomlkit.table()
    table["file"] = f"{name}.wav"
    table["level_lu"] = entry.level_lu
    table["says"] = entry.says
    if isinstance(entry, BeatEntry):
        table["bpm"] = entry.bpm
    return table


def _with_listed(manifest: Path, pack: LessonPack) -> bytes:
    """Return the list of one's own tones with those of the pack."""
    text = read_bytes(manifest, most_bytes=MAX_BYTES).decode("utf-8-sig") if is_file(manifest) else ""
    listed = tomlkit.parse(text)
    there = read_manifest(manifest) if text else {}
    for name, (entry, _) in pack.tones.items():
        if there.get(name) != entry:
            listed[name] = _listed(name, entry)
    return tomlkit.dumps(listed).encode()


def _check_tones(pack: LessonPack) -> None:
    """Refuse tones that would sound in the place of others of one's own."""
    for name, (folder, entry) in own_tones().items():
        if name in pack.tones:
            new, content = pack.tones[name]
            if replace(entry, file=new.file) != new or not _is_there(folder / entry.file, content):
                raise UserError(
                    f'There is a tone "{name}" of your own already: add --replace, or leave --tones out.'
                )


def _is_there(path: Path, content: bytes) -> bool:
    try:
        return is_file(path) and read_bytes(path, most_bytes=len(content)) == content
    except CallerError:
        return False


def _most_bytes(name: str) -> int | None:
    return next((most for pattern, most in _NAMES.items() if re.fullmatch(pattern, name)), None)


def _refused(path: Path, why: str) -> UserError:
    return UserError(f"{path.name} was not taken in: {why}. Ask for the lesson to be packed again.")
