"""`hall-caller dial TIME --to FILE`: a plain dial for worksheets and cards."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path

from caller.cli.targets import add_replace, check_picture, mistakes_told, write_picture
from caller.clock import ClockTime
from caller.screen.for_paper import draw_plain_dial

BLANK = "blank"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("time", help=f"a time such as 4:40, or `{BLANK}` for a dial without hands")
    parser.add_argument(
        "--to", type=Path, required=True, metavar="FILE", help="dial.png, dial.svg or dial.pdf"
    )
    parser.add_argument(
        "--numerals", choices=("arabic", "roman"), default="arabic", help="1 to 12, or I to XII"
    )
    parser.add_argument(
        "--size", type=_size, default=800, metavar="N", help="width in pixels (png), or points of 1/72 inch"
    )
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write the dial."""
    with mistakes_told():
        time = None if arguments.time == BLANK else ClockTime.parse(arguments.time)
    check_picture(arguments.to, replace=arguments.replace)
    draw = partial(draw_plain_dial, time=time, size=arguments.size, numerals=arguments.numerals)
    write_picture(
        draw,
        arguments.to,
        width=arguments.size,
        height=arguments.size,
        title=arguments.time,
        replace=arguments.replace,
    )
    return 0


def _size(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 16 <= int(text) <= 8000):
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from 16 to 8000")
    return int(text)
