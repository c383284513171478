"""`hall-caller starter`: an icon on the desktop and in the menu, and the program that a double-click starts.

Linux: desktop entries as freedesktop.org's Desktop Entry Specification 1.5 writes them. Windows: shortcuts,
made by the Windows Script Host through PowerShell. macOS: a folder `.app` that holds a script of two lines.
"""

from __future__ import annotations

import argparse
import base64
import contextlib
import io
import plistlib
import shlex
import shutil
import struct
import subprocess
import sys
from collections.abc import Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import Final

import platformdirs

from caller import __version__
from caller.cli import main
from caller.errors import CallerError, MachineError, UserError
from caller.file_reading import is_file, read_bytes, told
from caller.file_writing import fill, make_folder, making_folder, write_bytes, write_text
from caller.languages import MODEL, words
from caller.languages.folders import CODES, of_this_system
from caller.paths import user_data

FILE_NAME: Final = "hall-caller"
_OURS: Final = "X-HallCaller-Starter=true"
_IDENTIFIER: Final = "org.lantern-bay.hall-caller"
_ICON_PX: Final = 256
_ICNS_KIND: Final = b"ic08"  # a PNG of 256 pixels
_STOPPED: Final = (0, 130, 143)
_MOST_BYTES: Final = 100_000
_POWERSHELL_S: Final = 60
_POWERSHELL_QUOTES: Final = "'\N{LEFT SINGLE QUOTATION MARK}\N{RIGHT SINGLE QUOTATION MARK}\N{SINGLE LOW-9 QUOTATION MARK}\N{SINGLE HIGH-REVERSED-9 QUOTATION MARK}"  # noqa: E501


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("--remove", action="store_true", help="take the icons away again")


def run(arguments: argparse.Namespace) -> int:
    """Make the icons, or take them away, and say where."""
    places = _places(sys.platform)
    if arguments.remove:
        gone = [place for place in places if _remove(place)]
        print("\n".join(f"Taken away: {place}" for place in gone) or "There is no icon of ours to take away.")
        return 0
    if sys.platform == "win32":
        _make_shortcuts(places)
    elif sys.platform == "darwin":
        for place in places:
            _make_bundle(place)
    else:
        _make_entries(places)
    print("\n".join(f"Made: {place}" for place in places))
    print("A double-click on it opens the start screen. To take it away: hall-caller starter --remove")
    if sys.platform not in ("win32", "darwin"):
        print("Some desktops ask first: click the icon with the right button, and choose Allow Launching.")
    return 0


def window() -> int:
    """Open the start screen without a terminal; what goes wrong is shown in a window, and kept in a file."""
    there, complaints = sys.stderr, io.StringIO()
    sys.stderr = complaints
    try:
        code = main([])
    finally:
        sys.stderr = there
    said = complaints.getvalue().strip()
    if code not in _STOPPED and said:
        _tell(said)
    return code


def desktop_entry(command: Sequence[str], icon: Path, code: str) -> str:
    """Return a desktop entry that starts `command`, its name in every language we have.

    Parameters
    ----------
    code
        The language of the names that no locale asks for.

    Raises
    ------
    UserError
        If the program's own path cannot stand in an entry.
    """
    if "=" in command[0]:
        raise UserError(f'"{command[0]}" has = in its name, which no starter may: move it to another folder.')
    lines = ["[Desktop Entry]", "Type=Application", "Version=1.5"]
    for key, entry in (("Name", "starter.name"), ("Comment", "starter.comment")):
        lines.append(f"{key}={_value(words(code, 'maker').say(entry))}")
        for other in CODES:
            locale = other.replace("-", "_")
            lines.append(f"{key}[{locale}]={_value(words(other, 'maker').say(entry))}")
    lines += [
        f"Exec={_value(' '.join(map(_quoted, command)))}",
        f"Icon={_value(str(icon))}",
        "Terminal=false",
        "Categories=Education;",
        "StartupNotify=false",
        _OURS,
    ]
    return "\n".join(lines) + "\n"


def shortcut_script(links: Iterable[Path], command: Sequence[str], icon: Path, comment: str) -> str:
    """Return the PowerShell that makes Windows shortcuts to `command`."""
    arguments = subprocess.list2cmdline(command[1:])
    lines = ["$ErrorActionPreference = 'Stop'", "$shell = New-Object -ComObject WScript.Shell"]
    for link in links:
        lines += [
            f"$link = $shell.CreateShortcut({_powershell(str(link))})",
            f"$link.TargetPath = {_powershell(command[0])}",
            f"$link.Arguments = {_powershell(arguments)}",
            f"$link.IconLocation = {_powershell(f'{icon},0')}",
            f"$link.Description = {_powershell(comment)}",
            "$link.Save()",
        ]
    return "\n".join(lines) + "\n"


def bundle_files(command: Sequence[str], name: str, icon: bytes) -> dict[str, bytes]:
    """Return what is in the folder of a macOS program, by place in it."""
    about = {
        "CFBundleExecutable": FILE_NAME,
        "CFBundleIconFile": FILE_NAME,
        "CFBundleIdentifier": _IDENTIFIER,
        "CFBundleName": name,
        "CFBundlePackageType": "APPL",
        "CFBundleShortVersionString": __version__,
        "NSHighResolutionCapable": True,
    }
    picture = (
        b"icns" + struct.pack(">I", 16 + len(icon)) + _ICNS_KIND + struct.pack(">I", 8 + len(icon)) + icon
    )
    return {
        "Contents/Info.plist": plistlib.dumps(about),
        f"Contents/MacOS/{FILE_NAME}": f"#!/bin/sh\nexec {shlex.join(command)}\n".encode(),
        f"Contents/Resources/{FILE_NAME}.icns": picture,
    }


def ico_bytes(png: bytes) -> bytes:
    """Return a Windows icon that holds one PNG of 256 pixels, which its directory writes as 0."""
    return struct.pack("<HHHBBBBHHII", 0, 1, 1, 0, 0, 0, 0, 1, 32, len(png), 22) + png


def icon_png(size: int = _ICON_PX) -> bytes:
    """Return our icon: the dial at a quarter past ten, on a light that fills the square."""
    # Drawing is loaded only here: a double-click has no need of it before its first picture.
    from caller.clock import ClockTime  # noqa: PLC0415
    from caller.screen.dial import draw_dial  # noqa: PLC0415
    from caller.screen.raster import png_bytes  # noqa: PLC0415
    from caller.screen.skia_door import skia  # noqa: PLC0415
    from caller.screen.theme import LIGHT  # noqa: PLC0415

    def draw(canvas: skia.Canvas) -> None:
        ground = skia.Paint(AntiAlias=True, Color=LIGHT.strip)
        canvas.drawRoundRect(skia.Rect.MakeWH(size, size), 0.2 * size, 0.2 * size, ground)
        dial = partial(draw_dial, centre=(size / 2, size / 2), radius=0.44 * size, theme=LIGHT)
        # Few and large numerals, so that it is a clock at the size of a thumbnail too.
        dial(canvas, ClockTime(10, 15), shown=frozenset({3, 6, 9, 12}), numeral_height=0.24)

    return png_bytes(draw, size, size)


def _command() -> list[str]:
    """Return what starts the window, without a console where there is a program for that."""
    python = Path(sys.executable)
    if getattr(sys, "frozen", False):  # a folder that needs no Python: see packaging/
        return [str(python.with_name(f"{FILE_NAME}-window").with_suffix(python.suffix))]
    if sys.platform == "win32" and python.with_name("pythonw.exe").exists():
        python = python.with_name("pythonw.exe")
    return [str(python), "-P", "-c", "from caller.cli.starter import window; raise SystemExit(window())"]


def _places(system: str) -> list[Path]:
    """Return where the icons go: the desktop, and the menu."""
    desktop = platformdirs.user_desktop_path()
    if system == "win32":
        menu = platformdirs.user_data_path(roaming=True) / "Microsoft" / "Windows" / "Start Menu" / "Programs"
        return [folder / f"{_name()}.lnk" for folder in (desktop, menu)]
    if system == "darwin":
        return [folder / f"{_name()}.app" for folder in (desktop, Path.home() / "Applications")]
    return [
        folder / f"{FILE_NAME}.desktop"
        for folder in (desktop, platformdirs.user_data_path() / "applications")
    ]


def _name() -> str:
    return words(MODEL, "maker").say(
        "starter.name"
    )  # one file name in every language, so that it is found again


def _make_entries(places: Iterable[Path]) -> None:
    icon = user_data() / f"{FILE_NAME}.png"
    make_folder(icon.parent)
    write_bytes(icon, icon_png(), replace=True)
    text = desktop_entry(_command(), icon, of_this_system())
    for place in places:
        make_folder(place.parent)
        _refuse_what_is_not_ours(place)
        write_text(place, text, replace=True)
        place.chmod(0o755)  # desktops start what may be run


def _make_shortcuts(places: Sequence[Path]) -> None:
    icon = user_data() / f"{FILE_NAME}.ico"
    make_folder(icon.parent)
    write_bytes(icon, ico_bytes(icon_png()), replace=True)
    for place in places:
        make_folder(place.parent)
    script = shortcut_script(
        places, _command(), icon, words(of_this_system(), "maker").say("starter.comment")
    )
    encoded = base64.b64encode(script.encode("utf-16-le")).decode("ascii")
    try:
        subprocess.run(
            ["powershell", "-NoProfile", "-NonInteractive", "-EncodedCommand", encoded],
            check=True,
            capture_output=True,
            timeout=_POWERSHELL_S,
        )
    except (OSError, subprocess.SubprocessError) as error:
        raise MachineError(
            "Windows would not make the icon: start the program with hall-caller-window.exe instead, which "
            f"is in {Path(sys.executable).parent}."
        ) from error


def _make_bundle(place: Path) -> None:
    if place.exists():
        _remove(place)
    with making_folder(place) as folder:
        for name, content in bundle_files(_command(), place.stem, icon_png()).items():
            file = folder / name
            file.parent.mkdir(parents=True, exist_ok=True)
            fill(file, content)
        (folder / "Contents" / "MacOS" / FILE_NAME).chmod(0o755)


def _refuse_what_is_not_ours(place: Path) -> None:
    if is_file(place) and not _is_ours(place):
        raise UserError(f'"{place}" is there already and was not made by hall-caller. Move it away first.')


def _is_ours(place: Path) -> bool:
    """Tell whether we made what is there; a shortcut is known by its name."""
    if place.suffix == ".lnk":
        return is_file(place)
    marker = place / "Contents" / "Info.plist" if place.suffix == ".app" else place
    sign = _IDENTIFIER if place.suffix == ".app" else _OURS
    return is_file(marker) and sign.encode() in read_bytes(marker, most_bytes=_MOST_BYTES)


def _remove(place: Path) -> bool:
    if not _is_ours(place):
        return False
    try:
        if place.is_dir():
            shutil.rmtree(place)
        else:
            place.unlink()
    except OSError as error:
        why = f'"{place}" cannot be taken away ({error.strerror}). Delete it by hand.'
        theirs = told(error, place, "made").exit_code == UserError.exit_code
        raise UserError(why) if theirs else MachineError(why) from None
    return True


def _quoted(argument: str) -> str:
    """Return an argument as the Exec key quotes it: in double quotes, with field codes spelt out."""
    for letter in '\\"`$':
        argument = argument.replace(letter, f"\\{letter}")
    return f'"{argument.replace("%", "%%")}"'


def _value(text: str) -> str:
    """Return a value as an entry's line holds it."""
    for letter, spelt in (("\\", "\\\\"), ("\n", "\\n"), ("\t", "\\t"), ("\r", "\\r")):
        text = text.replace(letter, spelt)
    return text


def _powershell(text: str) -> str:
    """Return text as PowerShell takes it literally: each kind of single quote that it knows is doubled."""
    return "'" + "".join(letter * 2 if letter in _POWERSHELL_QUOTES else letter for letter in text) + "'"


def _tell(said: str) -> None:
    """Show a sentence where nobody reads a terminal, and keep it in a file."""
    kept = user_data() / "last-trouble.txt"
    with contextlib.suppress(CallerError):
        make_folder(kept.parent)
        write_text(kept, f"{said}\n", replace=True, private=True)
    if sys.stderr is not None:
        print(said, file=sys.stderr)
    with contextlib.suppress(Exception):  # without a display, the file and the terminal have it
        import pygame  # noqa: PLC0415

        pygame.display.message_box(_name(), said, message_type="error")
