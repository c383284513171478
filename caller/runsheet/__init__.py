"""The run sheet: a lesson with everything decided, as calls in words.

Plain data. Nothing here knows how long a sentence takes to say: the timeline, above, gives every
call its length from the real spoken clips. The same lesson and seed give the same run sheet.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final, Literal

from caller.clock import ClockTime, DayTime
from caller.clock.said_and_shown import Cue, Numerals
from caller.deciding import LessonPart, Side
from caller.languages import Tune

CallKind = Literal[
    "sound-check",  # before the lesson: can the back row hear?
    "welcome",  # who we are and what will happen
    "safety",  # space, shoes, stop when it hurts
    "warm-up",
    "ready",  # eyes on the clock
    "question",  # what is asked
    "choices",  # each reading aloud with its move and side
    "decide",  # a few still seconds on a steady count: each child decides, and all begin together
    "move",  # the bout: every child does the move of the reading it believes
    "time-up",
    "claps",  # by side, or by everybody once: how many, for whoever listens
    "answer",
    "reason",  # read off the two hands, then why the other one was tempting
    "catch-up",
    "breath",
    "close",
]

ASKING: Final[Collection[CallKind]] = frozenset({"question", "choices", "decide", "move"})
"""While one of these is heard a child still looks for the answer: said again, it begins with the question."""

FiguresDo = Literal[
    "show",  # the figure of the lane that is pointed to shows its move; the others stand still
    "move",  # all figures do their moves, on the beat where there is one; they stand until it begins
    "still",  # a ready pose, feet side by side
    "rest",  # arms hang, or rest in the lap
    "clap",  # the figure of the lane that is pointed to claps, or the single figure; the others stand still
    "shake",  # arms and legs are shaken out
    "breathe",  # slow breaths: in with every odd line of its own length, out with every even one
    "none",  # no figure has anything to do
]
"""What the figures do: what the words ask of the class, standing still included."""

Character = Literal["lively", "calm"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A silence inside a sentence, before the word that begins at index `at` of its speech."""

    at: int
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing said (or sounded), with what the picture shows meanwhile.

    A line is laid out as: `tone`, then `breath_s` of quiet, then the speech, then `pause_s`.
    Where `slot_s` is set the line takes exactly that long from its start (longer only if its
    speech is), so that counted repetitions fall on an even beat.
    """

    written: str  # the caption; empty for a tone alone
    speech: str = ""  # as given to the speech engine; empty for a tone alone
    language: str = "en-GB"
    gaps: tuple[Gap, ...] = ()  # in order; what an echoing hall needs before an hour and before minutes
    tone: str | None = None  # a name in the sounds manifest
    breath_s: float = 0.0
    pause_s: float = 0.5
    slot_s: float | None = None
    cue: Cue | None = None  # what the dial shows while this is said
    point_to: Side | None = None  # the lane being talked about
    count: int | None = None  # a repetition number, shown large
    doing: FiguresDo | None = None  # from this line on, where it differs from its call
    tune: Tune = "tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Countdown:
    """Think time: a tick on every second, a beep on each of the last few."""

    seconds: int
    beeps: int = 5
    tick: str | None = "tick"
    beep: str = "beep"


@dataclass(frozen=True, slots=True, kw_only=True)
class Beat:
    """What a call's movement is carried by: drum and bass at an even pace, never under words.

    It starts with the countdown, or with the first counted repetition, or with the hold after the words.
    """

    bpm: float  # beats a minute; moves take a whole number of them (`caller.moves.poses`)
    seconds: float | None = None  # None: until the countdown, the counting or the hold ends
    character: Character = "lively"
    pattern: int = 0  # which of the patterns; any number is one


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """A clock face on the board. `time` is None for a face without hands."""

    time: ClockTime | None
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One choice: a third of the screen with a reading, its words and a figure doing its move."""

    side: Side
    numeral: str  # very large; empty where the choice is a dial
    words: str
    move: str  # slug in the catalogue
    move_name: str  # as shown
    dial: ClockTime | None = None  # the choice itself, where a dial is to be found


@dataclass(frozen=True, slots=True, kw_only=True)
class LineJump:
    """One jump on the empty number line under a dial: how far, and what stands over it and at its ends."""

    minutes: int  # always more than 0
    back: bool = False  # the line is walked to the left
    length: str
    begins: str
    ends: str


Layout = Literal["title", "points", "clock", "dials", "figure"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """What stands on the screen for one call; it does not move by itself.

    Layouts: `title` (a large title with one figure), `points` (a short list beside a figure),
    `clock` (a dial in the middle third, lanes left and right), `dials` (the choices are dials,
    the asked time stands in the middle), `figure` (one large figure, with a dial if there is one).
    """

    layout: Layout
    title: str = ""
    points: tuple[str, ...] = ()
    pictures: tuple[
        str, ...
    ] = ()  # for each point the stance or move that shows it; then one stands at a time
    dials: tuple[Dial, ...] = ()  # one; two for elapsed time (from, to)
    lanes: tuple[Lane, ...] = ()
    asked: str = ""  # the time or statement asked for, in large type
    asked_words: str = ""
    jumps: tuple[LineJump, ...] = ()  # of the number line under the dial, in the order they are made
    day_time: DayTime | None = None  # shows the part of the day
    move: str | None = None  # the single figure's move
    move_name: str = ""
    arms: ClockTime | None = None  # the single figure makes this time with its arms
    answer: Side | None = None  # set once the answer is out
    progress: str = ""  # "3 of 10"
    numerals: Numerals = "arabic"  # on all dials


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """One call: what is said, what is shown, and the think time after it if there is any.

    Lines come first, one after another; then the countdown; then `hold_s` of nothing said.
    """

    number: int  # from 1, over the whole run sheet
    kind: CallKind
    part: LessonPart
    round: int | None  # from 1; None outside rounds
    lines: tuple[Line, ...]
    board: Board
    countdown: Countdown | None = None
    hold_s: float = 0.0
    beat: Beat | None = None
    doing: FiguresDo | None = None  # None: what such a call asks for, see `figures_do`


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundFacts:
    """What a round was about, for the record, the sheet and the checks."""

    round: int
    part: LessonPart
    question: str  # a kind of question
    step: str
    time: ClockTime
    answer: Side
    wrong: tuple[ClockTime, ...]
    mixups: tuple[frozenset[str], ...]  # for each wrong reading, the rules that explain it
    moves: tuple[str, ...]  # by lane, left to right
    think_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class VoicePlan:
    """How the calls are to be spoken, and the attention tone sounded before them."""

    rate_wpm: int
    name: str | None = None  # a voice of the engine; None for the language's own
    attention_s: float | None = None  # None for the tone's own length
    masked_db: tuple[float, ...] = ()  # by a working class at the last row, by octaves, against the voice
    stillness_db: float = 0.0  # a listening class masks so much less
    cue_over_voice_db: float = 0.0  # how far a cue may be over the voice
    two_loudspeakers: bool = False  # what is said of a lane comes from its side


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSheet:
    """Everything that will happen in a lesson, in order.

    `quiet_gate_s` is how long a call waits for quiet after a catch-up, at most; 0 never waits.
    """

    title: str
    class_name: str
    language: str
    seed: int
    voice: VoicePlan
    calls: tuple[Call, ...]
    rounds: tuple[RoundFacts, ...]
    quiet_gate_s: int = 0
