"""What every button means to this teacher: the usual table, and `keys.toml` beside the class record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, make_dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from caller.file_reading import is_file
from caller.live.words import does, label_for, label_of, said
from caller.paths import user_data
from caller.screen.keytable import KEYS, Action, keys_for
from caller.screen.teacher_pages import KeyPage, PicturePage
from caller.scripts.kinds import ListOf, Number
from caller.scripts.source import load
from caller.scripts.tables import Misfit, Single, finish, key, read_source

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


@dataclass(frozen=True, slots=True, kw_only=True)
class _OneSwitch:
    """What may stand in `keys.toml` beside the meanings of buttons."""

    single_switch: str = key(
        "", _Button(), "One button for everything: short goes on, holding repeats, then stops."
    )
    hold_seconds: float = key(0.8, Number(0.3, 5.0, "seconds"), "How long holding is.")
    ignore_again_seconds: float = key(
        0.3, Number(0.0, 3.0, "seconds"), "A second press within this time does nothing."
    )


KeysFile: Final[type[_OneSwitch]] = make_dataclass(
    "KeysFile",
    [
        (action.name.lower(), tuple[str, ...], key((), ListOf(_Button(), 12), action.value))
        for action in Action
    ],
    bases=(_OneSwitch,),
    frozen=True,
    kw_only=True,
)
"""What may stand in `keys.toml`: a key for each action, and what one switch needs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Controls:
    """What every button means here.

    Attributes
    ----------
    keys
        Buttons by pygame's names.
    single_switch
        The one button that does everything, or an empty text.
    """

    keys: Mapping[str, Action] = field(default_factory=lambda: KEYS)
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
    if not is_file(path):
        return Controls()
    written, place = read_source(KeysFile, load(path))
    own: dict[str, Action] = {}
    for action in Action:
        name = action.name.lower()
        for button in getattr(written, name):
            if button in own:
                place.inside(name).report(f'"{button}" stands here twice.', "Give each button one meaning.")
            own[button] = action
    finish(place)
    usual = {button: action for button, action in KEYS.items() if button not in own}
    return Controls(
        keys=MappingProxyType(own | usual),  # own buttons come first, so that the key page names them
        single_switch=written.single_switch,
        hold_s=written.hold_seconds,
        ignore_again_s=written.ignore_again_seconds,
    )


def key_page(controls: Controls) -> KeyPage:
    """Return what each button does, as a picture."""
    rows = [
        (tuple(label_of(name) for name in keys_for(action, controls.keys)), does(action)) for action in Action
    ]
    rows.append(((said("keys.digits"),), said("keys.missed-it")))
    switch = controls.single_switch
    foot = said("keys.single-switch-foot" if switch else "keys.foot")
    named = label_of(switch) if switch else label_for(Action.HELP, controls.keys)
    return KeyPage(title=said("keys.title"), rows=tuple(rows), foot=foot.format(key=named))


def picture_page(controls: Controls) -> PicturePage:
    """Return the page on which the picture is tested, in words."""
    rows = tuple(said(f"picture.{name}") for name in ("edges", "sharp", "greys", "round", "far"))
    foot = said("picture.foot").format(key=label_for(Action.PICTURE, controls.keys))
    return PicturePage(title=said("picture.title"), rows=rows, read=said("picture.read"), foot=foot)


def with_keys(text: str, controls: Controls) -> str:
    """Return `text` with the labels of keys, as they are mapped here, for the actions named in braces."""
    if "{" not in text:
        return text  # as nearly always, with every picture
    named = {
        "pause": Action.PAUSE,
        "next": Action.NEXT,
        "help": Action.HELP,
        "stop": Action.QUIT,
    }
    labels = {name: label_for(action, controls.keys) for name, action in named.items()}
    return text.format(**labels, switch=label_of(controls.single_switch))
