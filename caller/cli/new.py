"""`hall-caller new lesson|class|hall --to FILE`: an example to change, with a note on every line."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import Final

from caller.cli.targets import add_replace, check_ending
from caller.errors import UserError
from caller.file_writing import write_text

EXAMPLES: Final = {
    "lesson": """\
# A lesson script. Change what you like. Look it over:   hall-caller check {file}
# Lead it:   hall-caller run {file}
# Words and times stand in straight quotes; numbers do not. A line that begins with # is a note.
# Every line may be left out: the caller then chooses for you. Only one [[round]] is needed.
# Local rules, the school's policy and qualified staff decide.

title = "Nearly the hour"   # shown large, and said at the start
class = "Puffins"           # the class's name; never a pupil's
step = "fives-to"           # how finely the class reads: o-clock, half-past, quarters, fives-past, fives-to,
                            # minutes, near-the-hour, elapsed or day-parts
minutes = 15                # the length of the period; the lesson is checked against it
think_seconds = 20          # time to think and to do the move, after each question
# hall = "gym"              # a ready-made hall, or a hall file beside this one; it sets the pace and sizes

# From here on, one [[round]] for each clock. The time alone is a whole round: the wrong reading, the moves,
# the sides, the words and the reason are chosen for you.
[[round]]
time = "4:40"

[[round]]
time = "7:55"
wrong = "8:55"                      # your own wrong reading, where you want one
moves = ["squats", "star-jumps"]    # and your own moves, from left to right: hall-caller moves lists them

[[round]]
time = "2:50"

# The last round is done with calm moves, and then the lesson closes with slow breaths.
[[round]]
time = "10:35"
""",
    "class": """\
# A class file. Plan a lesson for this class:   hall-caller plan {file} --to monday.toml
# It holds no pupils' names, and needs none. Every line but the name may be left out.

name = "Terns"          # what the class is called
age = "6-7"             # how old the children are
step = "quarters"       # how finely they read the clock: o-clock, half-past, quarters, fives-past, fives-to,
                        # minutes, near-the-hour, elapsed or day-parts
minutes = 20            # the length of the usual period
hall = "gym"            # a ready-made hall, or a hall file beside this one; none if left out
space_m = 2.0           # free floor for each child, across, in metres
shod = true             # false for bare feet or socks
reading = "early"       # how they read words: none, early or fluent
avoid = []              # moves this class does not do, like ["star-jumps"]
seated_places = 0       # how many children answer from a chair or a wheelchair
count_by_ear = false    # true: each side claps before the answer, and the microphone counts about how many
language = "en-GB"      # en-GB, en-US, es, es-US, fr or de
""",
    "hall": """\
# A hall file. What it does to voice and dial:   hall-caller hall {file}
# Measured with a tape. The echo is reckoned from it, until it is measured:   hall-caller hall measure {file}

name = "our hall"
like = "gym"            # a ready-made hall to begin from: what is left out here is taken from it
length_m = 24           # away from the screen
width_m = 12
height_m = 6
people = 28             # who is in it, which dulls the echo
loudspeakers = "one"    # "two", left and right of the screen: what is said of a side comes from that side

[screen]
image_height_m = 1.8    # the height of the picture, or diagonal_inches = 85
last_row_m = 14         # how far from it the last row stands

[speaker]
kind = "pa-box"         # what it is; as loud, at one metre, as the next line says
level_at_1m_dba = 82
from_screen_wall_m = 1.0
from_left_wall_m = 2.0
height_m = 1.8
""",
}
"""The examples; `{file}` is the name that was asked for."""


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--to", type=Path, required=True, metavar="FILE", help="its name ends in .toml")
    add_replace(parser)


def _run(kind: str, arguments: argparse.Namespace) -> int:
    check_ending(arguments.to, (".toml",), what=f"that it is a {kind}")
    if not str(arguments.to).isprintable():
        raise UserError("This name holds letters that cannot be seen. Choose a plainer one.")
    name = f'"{arguments.to}"' if " " in str(arguments.to) else str(arguments.to)
    write_text(arguments.to, EXAMPLES[kind].format(file=name), replace=arguments.replace)
    print(f"Wrote {arguments.to}: an example with notes. Open it in a text editor, and change it.")
    return 0


add_lesson_arguments = add_class_arguments = add_hall_arguments = _add_arguments
run_lesson, run_class, run_hall = (partial(_run, kind) for kind in EXAMPLES)
