"""The language of the person at this computer, for screens that belong to no lesson yet."""

from __future__ import annotations

import ctypes
import locale
import os
import sys
from collections.abc import Mapping

from caller.languages.folders import CODES, MODEL

# In the order in which gettext looks: LANGUAGE may hold several, the best first.
_NAMED_IN = ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")


def nearest(tag: str) -> str | None:
    """Return the language that a locale such as "es_MX.UTF-8" asks for; None where it has no folder."""
    wanted = tag.partition(".")[0].partition("@")[0].replace("_", "-").lower()
    exact = [code for code in CODES if code.lower() == wanted]
    base = wanted.partition("-")[0]
    home = MODEL if MODEL.partition("-")[0] == base else None  # another English is nearer to the model's
    alike = [code for code in CODES if code.partition("-")[0] == base]
    return next(iter(exact), home or next(iter(alike), None))


def of_this_system(environment: Mapping[str, str] | None = None) -> str:
    """Return the language of the teacher's own screens: the system's where it has a folder, or `MODEL`."""
    environment = os.environ if environment is None else environment
    named = [
        tag for name in _NAMED_IN if (value := environment.get(name, "")) for tag in value.split(":") if tag
    ]
    found = (nearest(tag) for tag in (named or _of_the_desktop()))
    return next((code for code in found if code is not None), MODEL)


def _of_the_desktop() -> list[str]:
    """Return what the desktop is set to, where it sets no environment for programs."""
    if sys.platform == "win32":
        number = ctypes.windll.kernel32.GetUserDefaultUILanguage()
        return [locale.windows_locale.get(number, "")]
    return [locale.getlocale()[0] or ""]
