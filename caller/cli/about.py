"""`hall-caller about`: versions, folders and devices, to be copied into a report of a fault."""

from __future__ import annotations

import argparse
import os
import platform
import sys
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, requires, version
from typing import Any, Final

from caller import __version__
from caller.cli.printing import DETAILS, as_json
from caller.live.background import nothing_but_ours
from caller.paths import user_cache, user_data

_VOICE_WITHIN_S: Final = 20.0
_NAME_ENDS: Final = " ;<>=!~[("


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.epilog = "Nothing is sent anywhere. No class, no lesson and no name of a person is in it."
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")


def run(arguments: argparse.Namespace) -> int:
    """Print what a report of a fault needs."""
    told = {
        "hall-caller": __version__,
        "Python": f"{platform.python_version()} ({platform.python_implementation()})",
        "system": platform.platform(),
        "processors": os.cpu_count(),
        "encoding": sys.stdout.encoding,
        "packages": dict(_packages()),
        "voice": _voice(),
        "loudspeakers and microphones": _sound_devices(),
        "displays": _displays(),
        "data folder": _at_home(str(user_data())),
        "cache folder": _at_home(str(user_cache())),
        "in the cache": _in_cache(),
    }
    if arguments.json:
        print(as_json(told))
        return 0
    for name, value in told.items():
        if isinstance(value, dict):
            print(f"{name}: {', '.join(f'{key} {each}' for key, each in value.items())}")
        elif isinstance(value, list):
            print(f"{name}:", *(value or ["none found"]), sep="\n  ")
        else:
            print(f"{name}: {value}")
    print(f"For the details of an error that should not happen, set {DETAILS} to the name of a new file.")
    return 0


def _packages() -> Iterator[tuple[str, str]]:
    """Yield what the program stands on, with the versions that are installed."""
    try:
        wanted = requires("hall-caller") or []
    except PackageNotFoundError:
        wanted = []
    for each in wanted:
        if "extra ==" in each:
            continue
        name = each
        for mark in _NAME_ENDS:
            name = name.partition(mark)[0]
        try:
            yield name, version(name)
        except PackageNotFoundError:
            yield name, "missing"


def _voice() -> str:
    try:
        from caller.sound.voice_process import VoiceProcess  # noqa: PLC0415  (what is missing is told)

        voice = VoiceProcess("en-GB")
        try:
            return voice.greet(deadline_s=_VOICE_WITHIN_S).identity
        finally:
            voice.end()
    except Exception as error:  # a report is wanted most where something is broken
        return f"not working ({type(error).__name__}: {error})"


def _sound_devices() -> list[str]:
    try:
        from caller.hall.sweep_run import answered, sound_library  # noqa: PLC0415  (what is missing is told)

        with nothing_but_ours(), sound_library("This", failed="It lists no devices.") as library:
            devices: Any = answered(library.query_devices)
        return [
            f"{each['name']}: {each['max_output_channels']} out, {each['max_input_channels']} in, "
            f"{each['default_samplerate']:.0f} Hz"
            for each in devices
        ]
    except Exception as error:
        return [f"not working ({type(error).__name__}: {error})"]


def _displays() -> list[str]:
    try:
        import pygame  # noqa: PLC0415  (opens the display)

        pygame.display.init()
        try:
            driver = pygame.display.get_driver()
            return [f"{width}x{height} ({driver})" for width, height in pygame.display.get_desktop_sizes()]
        finally:
            pygame.display.quit()
    except Exception as error:
        return [f"not working ({type(error).__name__}: {error})"]


def _in_cache() -> list[str]:
    """Tell what may be deleted at any time: it is made again when it is needed."""
    try:
        from caller.sound.kept_voice import DEFAULT_LIMIT_BYTES, SPEECH  # noqa: PLC0415  (what is missing is told)

        told = []
        for folder in sorted(each for each in user_cache().glob("*") if each.is_dir()):
            sizes = [each.stat().st_size for each in folder.rglob("*") if each.is_file()]
            most = f" of at most {DEFAULT_LIMIT_BYTES / 1e6:.0f} MB" if folder.name == SPEECH else ""
            told.append(f"{folder.name}: {len(sizes)} files, {sum(sizes) / 1e6:.0f} MB{most}")
        return told
    except Exception as error:  # a library is broken, or a file went away at this moment
        return [f"not told ({type(error).__name__}: {error})"]


def _at_home(text: str) -> str:
    """Return `text` without the name of the person whose home it names."""
    return text.replace(os.path.expanduser("~"), "~")  # noqa: PTH111  (a text, not a path)
