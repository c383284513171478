"""The folders of this room, one for each language, and the tables of words in them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

_BASED_ON = "based-on"


def _codes() -> tuple[str, ...]:
    folders = (each.name for each in files(__package__).iterdir() if each.joinpath("wording.py").is_file())
    return tuple(sorted(name.replace("_", "-") for name in folders))


CODES = _codes()
"""Tags (BCP 47) of the languages the caller speaks: those that have a folder with a wording."""


def module_of(code: str) -> str:
    """Return the dotted name of a language's folder: ``caller.languages.en_GB`` for ``en-GB``."""
    return f"{__package__}.{code.replace('-', '_')}"


@cache
def table(code: str, name: str) -> Mapping[str, Any]:
    """Return one of a language's tables, with what it takes over from the language it is based on.

    Parameters
    ----------
    code
        Language tag.
    name
        The table, such as ``"phrases"``: the file without its ending.
    """
    own = tomllib.loads(_folder(code).joinpath(f"{name}.toml").read_text("utf-8"))
    base = own.pop(_BASED_ON, None)
    return own if base is None else _over(table(base, name), own)


def _folder(code: str) -> Traversable:
    return files(__package__).joinpath(code.replace("-", "_"))


def _over(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Lay a language's own entries over those of the language it is based on, group by group."""
    whole = dict(base)
    for key, value in own.items():
        whole[key] = _over(whole[key], value) if isinstance(value, dict) else value
    return whole
