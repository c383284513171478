"""The folders of this room, one for each language, the tables of words in them, and this computer's own.

One rule for what is missing: a language has every entry that British English has, with the same slots in
it, or takes them openly from the language its `language.toml` is based on. Anything else is an error when the
table is loaded, never a word of another language in the middle of a lesson.
"""

from __future__ import annotations

import ctypes
import locale
import os
import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from string import Formatter
from typing import Any, Final

from caller.errors import MachineError, NotFoundError

MODEL: Final = "en-GB"
"""The language that says what the others have to say, and that the command line speaks."""

TABLES: Final = (
    "language",
    "phrases",
    "reasons",
    "moves",
    "cautions",
    "titles",
    "sheet",
    "page",
    "descriptions",
    "screen",
    "maker",
)
"""The tables of a language, each a file in its folder."""

_BASED_ON: Final = "based-on"
_ONE: Final = "one"  # a language may have forms of its own for one o'clock


class LanguageError(MachineError):
    """A language's folder is not whole."""


def _codes() -> tuple[str, ...]:
    folders = (each.name for each in files(__package__).iterdir() if each.joinpath("wording.py").is_file())
    return tuple(sorted(name.replace("_", "-") for name in folders))


CODES: Final = _codes()
"""Tags (BCP 47) of the languages the caller speaks: those that have a folder with a wording."""


@dataclass(frozen=True, slots=True)
class Words:
    """What one table says in one language, by key such as "paused" or "keys.title"."""

    code: str
    entries: Mapping[str, Any]

    def say(self, key: str, **slots: object) -> str:
        """Return the words called `key` with their slots filled."""
        return str(self.entries[key]).format(**slots)


@cache
def words(code: str, name: str) -> Words:
    """Return a language's table as words to be filled in, its groups written as "group.key"."""
    return Words(code, dict(_leaves(table(code, name))))


@cache
def table(code: str, name: str) -> Mapping[str, Any]:
    """Return one of a language's tables, with what it takes over from the language it is based on.

    Parameters
    ----------
    code
        Language tag.
    name
        One of `TABLES`: the file without its ending.

    Raises
    ------
    NotFoundError
        If there is no such language.
    LanguageError
        If the table lacks something that `MODEL` has, or has something else; all of it is told.
    """
    whole = _whole(code, name)
    if code != MODEL:
        wrong = tuple(faults(whole, table(MODEL, name)))
        if wrong:
            raise LanguageError(f"{_folder(code).joinpath(name)}.toml: {'; '.join(wrong)}.")
    return whole


def module_of(code: str) -> str:
    """Return the dotted name of a language's folder: ``caller.languages.en_GB`` for ``en-GB``."""
    return f"{__package__}.{code.replace('-', '_')}"


def faults(whole: Mapping[str, Any], model: Mapping[str, Any]) -> Iterator[str]:
    """Yield what a table lacks or has too much beside the model, in words."""
    ours, theirs = dict(_leaves(whole)), dict(_leaves(model))
    yield from (f"{key} is missing" for key in theirs if key not in ours)
    for key, value in ours.items():
        like = theirs.get(key, theirs.get(key.removesuffix(f"-{_ONE}")))
        if like is None:
            if key != _ONE:
                yield f"{key} is not known here"
        elif type(value) is not type(like):
            yield f"{key} is not written as in {MODEL}"
        else:
            yield from (f"{key} {fault}" for fault in _faults_of(value, like))


def _faults_of(value: object, like: object) -> Iterator[str]:
    texts, likes = _texts(value), _texts(like)
    if not all(text.strip() for text in texts):
        yield "is empty"
    if any(brace in text for text in map(_outside_slots, texts) for brace in "{}"):
        yield "has a brace too many"
        return
    ours, theirs = _slots(texts), _slots(likes)
    # A list holds longer and shorter forms of one sentence, of which no one needs every slot.
    if ours - theirs or (theirs - ours and isinstance(value, str)):
        yield f"needs the slots {', '.join(sorted(theirs)) or 'of none'}, and has {', '.join(sorted(ours))}"


def _texts(value: object) -> list[str]:
    """Return the texts of an entry: one, or a list of them; none where it is a setting."""
    return [each for each in (value if isinstance(value, list) else [value]) if isinstance(each, str)]


def _slots(texts: list[str]) -> set[str]:
    """Return the names of all slots; a capital asks only for one at its beginning."""
    return {name.lower() for text in texts for _, name, _, _ in Formatter().parse(text) if name is not None}


def _outside_slots(text: str) -> str:
    try:
        return "".join(literal for literal, _, _, _ in Formatter().parse(text))
    except ValueError:
        return "{"


def _leaves(table: Mapping[str, Any], group: str = "") -> Iterator[tuple[str, Any]]:
    for key, value in table.items():
        if isinstance(value, Mapping):
            yield from _leaves(value, f"{group}{key}.")
        else:
            yield f"{group}{key}", value


def _whole(code: str, name: str) -> Mapping[str, Any]:
    if code not in CODES:
        raise NotFoundError(f'The caller has no language "{code}"; it has {", ".join(CODES)}.')
    base = _read(code, "language").get(_BASED_ON)
    own = {key: value for key, value in _read(code, name).items() if key != _BASED_ON}
    return own if base is None else _over(_whole(base, name), own)


def _read(code: str, name: str) -> dict[str, Any]:
    """Return a table as it stands in its own file; an empty one where there is none."""
    file = _folder(code).joinpath(f"{name}.toml")
    return tomllib.loads(file.read_text("utf-8")) if file.is_file() else {}


def _folder(code: str) -> Traversable:
    return files(__package__).joinpath(code.replace("-", "_"))


def _over(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Lay a language's own entries over those of the language it is based on, group by group."""
    whole = dict(base)
    for key, value in own.items():
        whole[key] = _over(whole.get(key, {}), value) if isinstance(value, dict) else value
    return whole


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
