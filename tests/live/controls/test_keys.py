from __future__ import annotations

from pathlib import Path

import pytest

from caller.errors import ScriptError
from caller.live.keys import Controls, controls_of
from caller.screen.keytable import KEYS, Action


def controls(tmp_path: Path, text: str) -> Controls:
    path = tmp_path / "keys.toml"
    path.write_text(text, encoding="utf-8")
    return controls_of(path)


def test_without_a_file_keys_are_as_ever(tmp_path: Path) -> None:
    assert controls_of(tmp_path / "keys.toml") == Controls()


def test_a_button_takes_its_new_meaning_and_loses_its_old_one(tmp_path: Path) -> None:
    own = controls(tmp_path, 'most = ["page down", "PAD 7"]\nnext = "k"\n')
    assert own.keys["page down"] is Action.MOST
    assert own.keys["pad 7"] is Action.MOST
    assert own.keys["k"] is Action.NEXT
    assert own.keys["right"] is Action.NEXT
    assert own.keys["space"] is KEYS["space"]


def test_one_button_for_everything(tmp_path: Path) -> None:
    own = controls(tmp_path, 'single_switch = "Space"\nhold_seconds = 1.5\n')
    assert (own.single_switch, own.hold_s, own.ignore_again_s) == ("space", 1.5, 0.3)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('nekst = "k"', "keys.toml, line 1, column 1: nekst: there is no such key. Did you mean next?"),
        (
            'next = "k"\nback = "k"',
            'keys.toml, line 2, column 8: back: "k" stands here twice. Give each button one meaning.',
        ),
        (
            "next = 3",
            (
                "keys.toml, line 1, column 8: next: this needs the name of a button. "
                'Write it in quotes, like "page down".'
            ),
        ),
    ],
)
def test_what_cannot_be_used_is_told_with_its_place(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(ScriptError) as told:
        controls(tmp_path, text)
    assert str(told.value) == said


def test_every_meaning_on_the_page_can_be_given_to_a_button(tmp_path: Path) -> None:
    text = "\n".join(f'{action.name.lower()} = "pad {20 + number}"' for number, action in enumerate(Action))
    own = controls(tmp_path, text)
    assert {action for button, action in own.keys.items() if button.startswith("pad 2")} >= {Action.MOST}
    assert {own.keys[f"pad {20 + number}"] for number in range(len(Action))} == set(Action)
