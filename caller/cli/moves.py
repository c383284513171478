"""`hall-caller moves [NAME]`: the catalogue, or one move in full and as a filmstrip."""

from __future__ import annotations

import argparse
import textwrap
from pathlib import Path
from typing import Any

from caller.cli.printing import as_json
from caller.cli.targets import add_replace, check_picture
from caller.errors import UserError
from caller.file_writing import write_bytes
from caller.languages.folders import CODES, MODEL
from caller.moves import Move, catalogue, find
from caller.moves.effort import CUT_3, intensity
from caller.screen.for_paper import filmstrip
from caller.screen.skia_door import skia

_IMPACT = ("none", "low", "some", "high")
_COLUMNS = 96
_TOLD_AGE_Y = 7  # the younger band of the compendium


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("name", nargs="?", help="a move, such as star-jumps; all of them if left out")
    parser.add_argument("--language", choices=CODES, default=MODEL, help="the language of one move's words")
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument("--to", type=Path, metavar="FILE", help="the move's filmstrip, as a png")
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Tell the catalogue or one move, and write its filmstrip."""
    if arguments.to is not None:
        if arguments.name is None:
            raise UserError(
                "Name the move whose filmstrip to write, such as: hall-caller moves star-jumps --to strip.png"
            )
        check_picture(arguments.to, (".png",), replace=arguments.replace)
    chosen = list(catalogue().values()) if arguments.name is None else [find(arguments.name)]
    if arguments.json:
        rows = [_as_dict(move) for move in chosen]
        print(as_json(rows if arguments.name is None else rows[0]))
    elif arguments.name is None:
        print("\n".join(_table(chosen)))
    else:
        print("\n".join(_in_full(chosen[0], arguments.language)))
    if arguments.to is not None:
        picture = filmstrip(chosen[0].slug, width=1200).encodeToData(skia.kPNG, 100)
        write_bytes(arguments.to, bytes(picture), replace=arguments.replace)
    return 0


def _effort(move: Move) -> str:
    met = move.effort.met(_TOLD_AGE_Y)
    return f"{met:.1f} {intensity(met)}"


def _table(moves: list[Move]) -> list[str]:
    rows = [("Move", "Kind", "METy", "Impact", "Space", "Notes", "Sitting")]
    rows += [
        (
            move.slug,
            move.kind,
            _effort(move),
            _IMPACT[move.impact],
            f"{2 * move.radius_m:.1f} m",
            ", ".join(word for word, needed in (("floor", move.floor), ("noisy", move.noisy)) if needed),
            "" if move.seated == move.slug else move.seated,
        )
        for move in moves
    ]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = [
        "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]
    note = (
        f"METy: times the resting rate, for {_TOLD_AGE_Y}-year-olds ({CUT_3.name}). Space: free floor "
        "across, for a child of 1.40 m. Floor: hands or body touch it. Noisy: heard over the voice and a "
        "floor below. Local rules, the school's policy and qualified staff decide."
    )
    return [*lines, "", *textwrap.wrap(note, _COLUMNS)]


def _in_full(move: Move, language: str) -> list[str]:
    facts = {
        "Call": f"{move.call(language)}.",
        "How": move.how(language),
        "Easier": move.easier(language),
        "Sitting": "a sitting move already" if move.seated == move.slug else find(move.seated).name(language),
        "Caution": move.caution(language),
        "Effort": f"{_effort(move)} ({CUT_3.name}); {move.effort.status}"
        + (f"; nearest row: {move.nearest}" if move.nearest else ""),
        "Impact": _IMPACT[move.impact] + (f", {move.jumps} landings each time" if move.jumps else ""),
        "Space": f"{2 * move.radius_m:.1f} m across" + (", hands or body on the floor" if move.floor else ""),
        "Pace": "held still" if move.hold else f"{move.tempo_hz:g} times a second",
        "Muscles": move.muscle,
    }
    lines = [f"{move.name(language)} ({move.slug}), {move.kind}"]
    for label, words in facts.items():
        lines += textwrap.wrap(words, _COLUMNS, initial_indent=f"  {label:<8} ", subsequent_indent=" " * 11)
    return [*lines, "", "Local rules, the school's policy and qualified staff decide."]


def _as_dict(move: Move) -> dict[str, Any]:
    return {
        "slug": move.slug,
        "kind": move.kind,
        "names": {code: move.name(code) for code in CODES},
        "calls": {code: move.call(code) for code in CODES},
        "hows": {code: move.how(code) for code in CODES},
        "easier": {code: move.easier(code) for code in CODES},
        "seated": move.seated,
        "cautions": {code: move.caution(code) for code in CODES},
        "effort": {
            "code": move.effort.code,
            "activity": move.effort.activity,
            "met_6_9": move.effort.met_6_9,
            "met_10_12": move.effort.met_10_12,
            "adult": move.effort.adult,
            "nearest": move.nearest,
        },
        "impact": move.impact,
        "radius_m": move.radius_m,
        "floor": move.floor,
        "tempo_hz": move.tempo_hz,
        "muscle": move.muscle,
        "sides": move.sides,
        "noisy": move.noisy,
        "hold": move.hold,
        "jumps": move.jumps,
    }
