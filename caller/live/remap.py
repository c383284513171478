"""A teacher's own keys: the file `keys.toml` beside the class record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from caller.live.keys import AFTER_AN_ANSWER, KEYS, Action
from caller.paths import user_data
from caller.scripts.kinds import ListOf, Number
from caller.scripts.source import load
from caller.scripts.tables import Misfit, Single, finish, key, keys_of, read_source

_LONGEST_NAME: Final = 20


@dataclass(frozen=True, slots=True)
class _Button(Single[str]):
    """The name of a key, a presenter's button or a pad's."""

    def accept(self, value: object) -> str:
        """Return the name as pygame has it."""
        if not isinstance(value, str) or not 0 < len(value.strip()) <= _LONGEST_NAME:
            raise Misfit("this needs the name of a button.", 'Write it in quotes, like "page down".')
        return value.strip().lower()

    def schema(self) -> dict[str, Any]:
        """Return a short string."""
        return {"type": "string", "minLength": 1, "maxLength": _LONGEST_NAME}


_BUTTONS: Final = ListOf(_Button(), 12)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeysFile:
    """What may stand in `keys.toml`."""

    pause: tuple[str, ...] = key((), _BUTTONS, Action.PAUSE.value)
    repeat: tuple[str, ...] = key((), _BUTTONS, Action.REPEAT.value)
    next: tuple[str, ...] = key((), _BUTTONS, Action.NEXT.value)
    back: tuple[str, ...] = key((), _BUTTONS, Action.BACK.value)
    more_time: tuple[str, ...] = key((), _BUTTONS, Action.MORE_TIME.value)
    most: tuple[str, ...] = key((), _BUTTONS, Action.MOST.value)
    half: tuple[str, ...] = key((), _BUTTONS, Action.HALF.value)
    few: tuple[str, ...] = key((), _BUTTONS, Action.FEW.value)
    louder: tuple[str, ...] = key((), _BUTTONS, Action.LOUDER.value)
    softer: tuple[str, ...] = key((), _BUTTONS, Action.SOFTER.value)
    theme: tuple[str, ...] = key((), _BUTTONS, Action.THEME.value)
    full_screen: tuple[str, ...] = key((), _BUTTONS, Action.FULL_SCREEN.value)
    help: tuple[str, ...] = key((), _BUTTONS, Action.HELP.value)
    quit: tuple[str, ...] = key((), _BUTTONS, Action.QUIT.value)
    single_switch: str = key("", _Button(), "One button for everything: short goes on, holding repeats.")
    hold_seconds: float = key(0.8, Number(0.3, 5.0, "seconds"), "How long holding is.")
    ignore_again_seconds: float = key(
        0.3, Number(0.0, 3.0, "seconds"), "A second press within this time does nothing."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Controls:
    """What every button means here.

    Attributes
    ----------
    keys
        Buttons by pygame's names.
    after_an_answer
        What buttons mean once, after an answer.
    single_switch
        The one button that does everything, or an empty text.
    """

    keys: Mapping[str, Action] = field(default_factory=lambda: KEYS)
    after_an_answer: Mapping[str, Action] = field(default_factory=lambda: AFTER_AN_ANSWER)
    single_switch: str = ""
    hold_s: float = 0.8
    ignore_again_s: float = 0.3


def controls_path() -> Path:
    """Return where the teacher's own keys are read from."""
    return user_data() / "keys.toml"


def controls_of(path: Path | None = None) -> Controls:
    """Return the teacher's own controls; the usual ones where there is no file.

    Raises
    ------
    ScriptProblems
        If the file cannot be used; every problem found is in it.
    """
    path = controls_path() if path is None else path
    if not path.exists():
        return Controls()
    written, place = read_source(KeysFile, load(path))
    own: dict[str, Action] = {}
    for each in keys_of(KeysFile):
        if each.name.upper() not in Action.__members__:
            continue
        for button in getattr(written, each.field):
            if button in own:
                place.inside(each.name).report(
                    f'"{button}" stands here twice.', "Give each button one meaning."
                )
            own[button] = Action[each.name.upper()]
    finish(place)
    usual = {button: action for button, action in KEYS.items() if button not in own}
    # Own buttons come first, so that the key page names them.
    return Controls(
        keys=MappingProxyType(own | usual),
        after_an_answer=MappingProxyType(
            {button: action for button, action in AFTER_AN_ANSWER.items() if button not in own}
        ),
        single_switch=written.single_switch,
        hold_s=written.hold_seconds,
        ignore_again_s=written.ignore_again_seconds,
    )
