"""Boards of every layout, as a lesson at Lantern Bay School would show them."""

from __future__ import annotations

from dataclasses import replace

from caller.clock import ClockTime, DayTime
from caller.deciding import Side
from caller.runsheet import Board, Dial, Lane

TEN_TO_NINE, TWENTY_TO_FIVE = ClockTime(8, 50), ClockTime(4, 40)


def lane(side: Side, numeral: str, words: str, move: str, dial: ClockTime | None = None) -> Lane:
    return Lane(
        side=side, numeral=numeral, words=words, move=move, move_name=move.replace("-", " "), dial=dial
    )


CLOCK = Board(
    layout="clock",
    title="Which time is it?",
    dials=(Dial(time=TWENTY_TO_FIVE),),
    lanes=(
        lane("left", "4:40", "twenty to five", "star-jumps"),
        lane("right", "8:22", "twenty-two minutes past eight", "squats"),
    ),
    progress="3 of 10",
)

BOARDS: dict[str, Board] = {
    "clock": CLOCK,
    "answered": replace(CLOCK, answer="left"),
    "three lanes": replace(
        CLOCK,
        lanes=(CLOCK.lanes[0], lane("middle", "5:40", "twenty to six", "knee-lifts"), CLOCK.lanes[1]),
        answer="middle",
    ),
    "statement": replace(
        CLOCK,
        lanes=(lane("left", "Yes", "", "star-jumps"), lane("right", "No", "", "squats")),
        asked="It is 4:40.",
        asked_words="It is twenty to five.",
    ),
    "two dials": replace(
        CLOCK,
        dials=(Dial(time=TEN_TO_NINE, label="swimming starts"), Dial(time=TWENTY_TO_FIVE, label="ends")),
    ),
    "day": replace(CLOCK, day_time=DayTime(16, 40)),
    "dials": Board(
        layout="dials",
        title="Find the clock",
        lanes=(
            lane("left", "", "", "march", TWENTY_TO_FIVE),
            lane("right", "", "", "sky-reach", TEN_TO_NINE),
        ),
        asked="4:40",
        asked_words="twenty to five",
        progress="3 of 10",
    ),
    "title": Board(layout="title", title="Good morning, Puffins!", move="march"),
    "title with dial": Board(layout="title", title="Gannets", dials=(Dial(time=TEN_TO_NINE),)),
    "title alone": Board(layout="title", title="See you on Thursday!"),
    "points": Board(
        layout="points",
        title="Keep safe",
        points=("An arm’s length from everyone", "Laces tied", "Stop when it hurts, and tell an adult"),
        move="pogo-jumps",
        move_name="soft landings",
    ),
    "figure": Board(layout="figure", title="Catch-up", move="high-knees", move_name="high knees"),
    "be the clock": Board(
        layout="figure", dials=(Dial(time=TWENTY_TO_FIVE),), arms=TWENTY_TO_FIVE, move_name="be the clock"
    ),
    "asked figure": Board(layout="figure", asked="4:40", asked_words="twenty to five", arms=TWENTY_TO_FIVE),
}

SIZES = ((640, 360), (1366, 768), (1024, 768), (1080, 1920), (1920, 1080), (2560, 1080))
