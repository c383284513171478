"""What the figures on the screen do while each sentence of a lesson is heard.

The table below was written from the sentences alone: what a child who cannot read has to see while it hears
them. It is held against the figures as they are drawn, in every ready lesson told in English, through think
time and holds; a sentence that no row knows fails, so that a new one has to be thought about.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from caller import paths
from caller.clock import ClockTime
from caller.lesson import Lesson
from caller.lesson.library import read_lesson
from caller.planning.staging import Stage
from caller.runsheet import Call
from caller.screen.figures_on_stage import Performer
from caller.screen.scene import Scene
from caller.screen.stage import as_shown, performers
from caller.screen.theme import LIGHT
from caller.timeline import CallLayout, lay_out, samples_of
from caller.timeline.picture import scene_at

LESSONS = sorted(paths.packaged("lessons").rglob("*.toml"))
WIDTH, HEIGHT = 640, 360
WORD_S, TONE_S = 0.4, 0.5

STAND = frozenset({"standing-ready", "sitting-ready"})
# Kind of call, words, and what is seen: stances by name, "the move" that is named, "the time" made with arms.
ASKED: tuple[tuple[str, str, frozenset[str]], ...] = (
    ("sound-check", r"hear me", STAND),
    ("welcome", r"", STAND),
    ("safety", r"arm's length", frozenset({"arms-apart"} | STAND)),
    ("safety", r"shoes that grip", frozenset({"tying-laces"})),
    ("safety", r"bare feet|damp|teacher decides", STAND),
    ("safety", r"sitting down|on your chair", frozenset({"sitting-ready"})),
    ("safety", r"^Stop if it hurts", frozenset({"hand-up"})),
    ("warm-up", r"^Let's warm up", STAND),
    ("warm-up", r"", frozenset({"the move"})),
    ("ready", r"", frozenset()),
    ("question", r"", STAND),
    ("choices", r"", frozenset({"the move"})),
    ("decide", r"^Decide|^Think first", STAND),
    ("move", r"^Go", STAND),  # on "go" nobody has begun: the first beat is what all begin on
    ("move", r"Think where your arms go", frozenset({"the move"})),
    ("time-up", r"(Stand|Sit) still", STAND),
    ("time-up", r"Show me your clock", STAND),
    ("claps", r"three claps|^(Left|Middle|Right)\.$", STAND),
    ("answer", r"", STAND | {"the time"}),
    ("reason", r"", STAND | {"the time"}),
    ("catch-up", r"with your arms", frozenset({"the time"})),
    ("catch-up", r"another look|Trace the two hands|Or just rest", frozenset()),
    ("catch-up", r"^Calmly now", frozenset({"slow-breathing", "sitting-breathing"})),
    ("catch-up", r"^Everyone|and hold it", frozenset({"the move"})),
    ("breath", r"^Shake out", frozenset({"shaking-out"})),
    ("breath", r"arms rest", frozenset({"sitting-ready"})),
    ("close", r"arms hang", frozenset({"arms-hanging"})),
    ("close", r"arms rest", frozenset({"sitting-ready"})),
    ("close", r"^Breathe in|^And out", frozenset({"slow-breathing", "sitting-breathing"})),
    ("close", r"looked closely|line up|in your place", STAND),
)
# What is seen while nothing is said any more: the countdown, the beat, the hold.
AFTERWARDS = {
    "warm-up": frozenset({"the move"}),
    "decide": STAND,
    "move": frozenset({"the move"}),
    "catch-up": frozenset({"the move", "the time", "slow-breathing", "sitting-breathing"}),
}


@cache
def moves() -> dict[str, tuple[str, ...]]:
    """Every move's slug with the English words that may call it."""
    found = Path(__file__).parents[2] / "caller" / "languages" / "en_GB" / "moves.toml"
    data = tomllib.loads(found.read_text(encoding="utf-8"))
    return {slug: (words["call"].casefold(), words["name"].casefold()) for slug, words in data.items()}


def named_move(sentence: str) -> str | None:
    """Return the move whose words a sentence ends on."""
    text = re.split(r"(?:, and hold it)?\.(?: think where.*)?$", sentence.casefold())[0]
    fits = {
        slug: max(map(len, (w for w in words if text.endswith(w))), default=0)
        for slug, words in moves().items()
    }
    best = max(fits, key=lambda slug: fits[slug])
    return best if fits[best] else None


def speech_samples(text: str) -> int:
    return samples_of(WORD_S * len(text.split()))


def laid_out(call: Call) -> CallLayout:
    return lay_out(
        call,
        speech_length=lambda line: speech_samples(line.speech),
        tone_length=lambda name: samples_of(TONE_S),
    )


def seen(layout: CallLayout, sample: int) -> tuple[Scene, tuple[Performer, ...]]:
    scene = as_shown(scene_at(layout, sample), LIGHT)
    return scene, performers(scene, WIDTH, HEIGHT)


def check(
    performer: Performer, scene: Scene, wanted: frozenset[str], move: str | None, where: object
) -> None:
    """One figure does what is wanted, a move by its own slug."""
    what = performer.doing.what
    if isinstance(what, ClockTime):
        assert "the time" in wanted, where
        assert what == scene.board.arms, where
        # Both arms on one side cover each other or the face, unless one is nearly upright.
        across = [math.sin(math.radians(angle)) for angle in (what.minutes / 2, 6 * what.minute)]
        assert across[0] * across[1] <= 0 or min(map(abs, across)) < 0.28, where
        return
    allowed = set(wanted) - {"the move"}
    if "the move" in wanted and move is not None:
        allowed.add(move)
    assert what in allowed, (where, what)


def lesson_calls(path: Path) -> Iterator[tuple[Lesson, Call]]:
    lesson = replace(read_lesson(path), language="en-GB", second_language=None, count_by_ear=True)
    sheets = Stage().to_lead(lesson)
    for each in (sheets.before, sheets.lesson, sheets.again):
        yield from ((lesson, call) for call in each.calls)


def check_lesson(path: Path) -> set[int]:
    """Hold a lesson against the table, and return the rows that it has met."""
    met: set[int] = set()
    for lesson, call in lesson_calls(path):
        layout, move = laid_out(call), None
        for span in layout.spans:
            line = span.line
            middle = (span.speech_start + span.speech_end) // 2
            where = (call.number, call.kind, line.written)
            if line.count is not None:  # one clap of those whose turn it is; all others stand
                _, figures = seen(layout, (span.start + span.end) // 2)
                for each in figures:
                    claps = each.doing.what in ("clapping", "sitting-clapping")
                    assert claps == (each.side in (None, line.point_to)), where
                continue
            if not line.written:
                continue
            rows = [
                n
                for n, (kind, words, _) in enumerate(ASKED)
                if kind == call.kind and re.search(words, line.written)
            ]
            own = line.written in (lesson.opening.welcome, lesson.opening.lead_in, lesson.close.say)
            assert rows or own, f"no row of the table knows {where}"
            wanted = ASKED[rows[0]][2] if rows else STAND
            met.update(rows[:1])
            named = named_move(line.written)
            move = named if "the move" in wanted else None
            assert ("the move" in wanted) <= (named is not None), where
            scene, figures = seen(layout, middle)
            for each in figures:
                talked_of = call.kind != "choices" or each.side == line.point_to
                check(each, scene, wanted if talked_of else STAND, move, where)
            assert figures or "the move" not in wanted, where
        check_afterwards(layout, move)
    return met


def check_afterwards(layout: CallLayout, move: str | None) -> None:
    """Through countdown and hold the figures go on with what was asked: who stands keeps still."""
    call = layout.call
    if call.countdown is None and call.hold_s < 1.0:
        return
    last = layout.spans[-1].end if layout.spans else 0
    for sample in (last + samples_of(0.7), (last + layout.length) // 2, layout.length - samples_of(0.4)):
        scene, figures = seen(layout, sample)
        _, later = seen(layout, sample + samples_of(0.13))
        for each, then in zip(figures, later, strict=True):
            lane = next((lane for lane in scene.board.lanes if lane.side == each.side), None)
            own = named_move(f"{lane.move_name}.") if lane is not None else move
            wanted = AFTERWARDS.get(call.kind)
            if wanted is not None:
                check(each, scene, wanted, own, (call.number, call.kind, "afterwards"))
            if each.doing.what in STAND:
                assert each.step == then.step, (call.number, call.kind)


@pytest.mark.parametrize(
    "path", [path for path in LESSONS if path.parent.name == "questions"], ids=lambda p: p.stem
)
def test_the_figures_do_what_each_sentence_asks(path: Path) -> None:
    """One lesson of every kind of question."""
    assert check_lesson(path)


@pytest.mark.nightly
def test_the_figures_do_what_each_sentence_of_every_ready_lesson_asks() -> None:
    met = set[int]().union(*map(check_lesson, LESSONS))
    never = {ASKED[row][:2] for row in range(len(ASKED)) if row not in met}
    # No ready lesson offers another look or slow breaths for a catch-up, or is so hard that a rest follows.
    assert never <= {
        ("breath", r"^Shake out"),
        ("breath", r"arms rest"),
        ("catch-up", r"another look|Trace the two hands|Or just rest"),
        ("catch-up", r"^Calmly now"),
    }, never
