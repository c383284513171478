"""Write what comes from the program's own tables, pages and schemas: `python docs/make.py` in a checkout."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from caller.hall.hallfile import HallFile
from caller.lesson import Lesson
from caller.live.keys import KeysFile
from caller.live.loudspeaker import LoudspeakersFile
from caller.live.words import said
from caller.planning.classfile import SchoolClass
from caller.screen.keytable import Action, keys_for, label_of
from caller.scripts.kinds import file_schema, schema_text
from caller.sound.tones import SoundsFile

DOCS = Path(__file__).resolve().parent

_KEYS = """# Keys, presenters and pads

While a lesson runs, these buttons do something. None is ever needed: the lesson goes on by itself.

| To do this | press |
|---|---|
{rows}
| {missed_it} | the digits 0 to 9; two digits one after the other are one number |

A presenter's two large buttons are page down (on) and page up (back); its button for a dark screen is B or a
full stop, and pauses. Neither ever counts anything. Counting begins when time is up; the practice clock may
be counted too, though nothing of it is kept.
A click or the tap of a finger pauses and goes on. Held for three seconds it asks whether to stop; held for
five, it stops.
The screen answers every count with the word "Noted", whatever it was, so children do not read it as a score.

## A loudspeaker that sounds late

Wireless loudspeakers and mixers are 100 to 300 ms late, and no computer knows it. In the sound check, numbers
are counted with beeps: press D while the numbers come before the beeps, E while they come after. Each press
moves the picture by 20 ms. It is kept for that loudspeaker, in `loudspeakers.toml`.

## Other buttons

Write a file `keys.toml` into the program's own folder (`hall-caller record` alone says where that is):

```toml
# Each line gives buttons a meaning; a button named here loses the meaning it had.
next = ["page down", "pad 1"]
most = "k"
# One button for everything: a short press goes on, holding it says the call again, holding on stops.
single_switch = "space"
hold_seconds = 0.8
# A second press within this time is a tremor or a bounce, and does nothing.
ignore_again_seconds = 0.3
```

Meanings: {meanings}.

A button is called by what stands on it (`a`, `f2`, `space`, `page down`), a pad's by its number (`pad 1`) or
direction (`pad up`). Pads number their buttons differently: press them and see what happens.
"""


def schemas() -> dict[str, dict[str, Any]]:
    """Return the schema of each file that a teacher may write, by what it is."""
    return {
        "lesson": file_schema(Lesson, "A lesson script for the caller", required=["round"]),
        "class": file_schema(
            SchoolClass, "A class file for the caller; it holds no pupils' names", required=["name"]
        ),
        "hall": file_schema(HallFile, "A hall file for the caller"),
        "loudspeakers": file_schema(
            LoudspeakersFile,
            "How late each loudspeaker is, and who gets the voice alone",
        ),
        "keys": file_schema(KeysFile, "A teacher's own keys for the caller"),
        "sounds": file_schema(SoundsFile, "The tones of a lesson"),
    }


def keys_page() -> str:
    """Return docs/keys.md."""
    rows = "\n".join(
        f"| {action.value} | {', '.join(label_of(key) for key in keys_for(action))} |" for action in Action
    )
    meanings = ", ".join(f"`{action.name.lower()}`" for action in Action)
    return _KEYS.format(rows=rows, meanings=meanings, missed_it=said("keys.missed-it"))


def pages() -> dict[str, str]:
    """Return every file this script writes, by its name in docs/."""
    named = {f"{what}.schema.json": schema_text(schema) for what, schema in schemas().items()}
    return {**named, "keys.md": keys_page()}


if __name__ == "__main__":
    for name, text in pages().items():
        (DOCS / name).write_text(text, encoding="utf-8")
