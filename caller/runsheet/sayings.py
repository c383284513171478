"""A call before it has words: what it is to say and to show, as plain data, the same in every language.

Whoever composes a lesson says what is wanted: a sentence by its key, the reading of a time, the reason of a
clock. No word is looked up for it; `caller.runsheet.talk` has all calls put in words together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from caller.clock import ClockTime, DayTime
from caller.clock.beyond_dial import Hop
from caller.clock.said_and_shown import Cue
from caller.deciding import LessonPart, Side
from caller.languages import Tune
from caller.languages.phrases import Reading, ToSay, Verbatim, WholeSentence, Why
from caller.moves import Move
from caller.runsheet import CallKind, Countdown, Dial, FiguresDo, Layout, Line

# Pauses after a sentence, as multiples of the pause that the hall needs after one.
SENTENCE_PAUSE = 1.0
QUESTION_PAUSE = 0.8
CHOICE_PAUSE = 0.5
REASON_PAUSE = 0.5
SLOW_PAUSE = 2.0
SHORT_PAUSE = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """One thing to say, with what the picture shows meanwhile.

    Attributes
    ----------
    words
        None where only the tone is heard.
    second
        In the lesson's second language; left out of a lesson that has one alone.
    pause
        The quiet after it, in sentence pauses of the hall.
    cue
        What the dial shows; for a reading, with the numeral lit that its words name as the hour.
    """

    words: ToSay | Why | None
    second: bool = False
    pause: float = SENTENCE_PAUSE
    tone: str | None = None
    slot_s: float | None = None
    cue: Cue | Reading | None = None
    point_to: Side | None = None
    doing: FiguresDo | None = None
    tune: Tune | None = None  # where it differs from its call


def say(
    key: str,
    *,
    pause: float = SENTENCE_PAUSE,
    cue: Cue | Reading | None = None,
    point_to: Side | None = None,
    second: bool = False,
    **slots: ToSay,
) -> Saying:
    """Return the sentence called `key`."""
    return Saying(words=WholeSentence(key, slots), pause=pause, cue=cue, point_to=point_to, second=second)


def say_in_both(
    key: str, *, pause: float = SENTENCE_PAUSE, cue: Reading | None = None, **slots: ToSay
) -> tuple[Saying, ...]:
    """Return one of the main sentences, in each language of the lesson."""
    words = WholeSentence(key, slots)
    return tuple(Saying(words=words, second=second, pause=pause, cue=cue) for second in (False, True))


def own_words(text: str) -> tuple[Saying, ...]:
    """Return a teacher's own words; nothing where there are none."""
    return (Saying(words=Verbatim(text)),) if text else ()


def called(sayings: Sequence[Saying], tone: str = "attention") -> tuple[Saying, ...]:
    """Return sayings with a tone before the first."""
    return (replace(sayings[0], tone=tone), *sayings[1:])


def length_in_symbols(minutes: int) -> str:
    """Return a length of time as units are written: "2 h 30 min"."""
    # The symbols are the same in every language (BIPM, SI Brochure, 9th edition, table 8).
    hours, rest = divmod(minutes, 60)
    parts = [f"{hours} h"] if hours else []
    if rest or not hours:
        parts.append(f"{rest} min")
    return " ".join(parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class LaneShown:
    """A choice on its lane, as `Lane` has it in words."""

    side: Side
    numeral: ToSay | None
    words: ToSay | None
    move: Move
    dial: ClockTime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What stands on the screen, as `Board` has it in words."""

    layout: Layout
    title: ToSay | None = None
    points: tuple[ToSay, ...] = ()
    pictures: tuple[str, ...] = ()
    dials: tuple[Dial, ...] = ()
    lanes: tuple[LaneShown, ...] = ()
    asked: ToSay | None = None
    asked_words: ToSay | None = None
    jumps: tuple[Hop, ...] = ()
    back: bool = False  # the jumps are made to the left
    day_time: DayTime | None = None
    move: Move | None = None
    named: bool = False  # with the move's name
    arms: ClockTime | None = None
    answer: Side | None = None
    progress: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A call before it has words and a number.

    Attributes
    ----------
    sayings
        A line among them is a sound or a silence: it needs no words.
    on_offer
        The readings that the class chooses from: beside one that sounds alike a reading is spelled.
    """

    kind: CallKind
    part: LessonPart
    round: int | None = None
    sayings: Sequence[Saying | Line]
    board: Shown
    countdown: Countdown | None = None
    hold_s: float = 0.0
    doing: FiguresDo | None = None
    on_offer: tuple[ClockTime, ...] = ()
