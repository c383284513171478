"""The lesson on the workbench: its script, what may be chosen in it, undo, and a draft that is kept.

The script is the only state. Each change makes a new text, which is read as any script is: what a lesson may
not be cannot be made here either. Undo keeps texts.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from caller.clock import ClockTime, DayTime
from caller.clock.ladder import step, step_of, times_at
from caller.clock.mixups import MIXUPS
from caller.clock.wrong import rank
from caller.deciding import DecidedRound
from caller.deciding.circumstances import conditions_of, registers_of
from caller.errors import CallerError, UserError
from caller.file_reading import is_file
from caller.file_writing import make_folder, write_text
from caller.languages import language
from caller.languages.reasons import why_wrong
from caller.lesson import Lesson
from caller.lesson.library import lesson_from_text, own_folder
from caller.maker import script
from caller.maker.script import bench, draft_of, text_of
from caller.moves import Move, catalogue
from caller.moves.pairs import objections
from caller.moves.uses import calm, lively
from caller.paths import packaged
from caller.planning.checks import look_over
from caller.planning.lengths import spoken_lengths
from caller.planning.staging import Stage, rehearse, stage_of

DIAL_KINDS: Final = ("read", "find")
"""The kinds of question whose wrong readings can be picked by dials."""

_MOST_UNDONE: Final = 500
_CANDIDATES: Final = 8
_NEW: Final = 'title = "{title}"\nstep = "quarters"\nlanguage = "{language}"\n\n[[round]]\ntime = "4:45"\n'


@dataclass(frozen=True, slots=True)
class Offer:
    """A wrong reading that may be picked: its dial, what it shows about a child, and why it stands here."""

    time: ClockTime
    shows: str
    child: str


@dataclass(frozen=True, slots=True)
class MoveOffer:
    """A move that may be picked, or the reason why not."""

    move: Move
    reason: str


@dataclass(frozen=True, slots=True)
class StripAdvice:
    """What the strip shows: figures of the whole lesson, and what `check` says of it."""

    minutes: float = 0.0
    moving: float = 0.0
    clocks: int = 0
    errors: tuple[str, ...] = ()
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True)
class _State:
    """One text, and what is read out of it; worked out once."""

    text: str
    folder: Path

    @cached_property
    def lesson(self) -> Lesson:
        return lesson_from_text(self.text)

    @cached_property
    def stage(self) -> Stage:
        return stage_of(self.lesson.hall, self.folder, self.lesson.class_name)

    @cached_property
    def rounds(self) -> tuple[DecidedRound, ...]:
        return self.stage.decided(self.lesson).rounds


class Workshop:
    """A lesson being made.

    Parameters
    ----------
    path
        The script, or None for a new lesson. A ready lesson is opened as a copy.
    title, code
        Of a new lesson: its title, and the language of its calls.

    Attributes
    ----------
    path
        Where `save` writes; None until the teacher has said.
    carried_on
        Whether a draft was left from last time.
    """

    def __init__(self, path: Path | None = None, *, title: str = "", code: str = "en-GB") -> None:
        self._done: list[tuple[_State, str]] = []
        self._undone: list[_State] = []
        text = _NEW.format(title=title, language=code)
        if path is not None:
            text = text_of(path)
        self._folder = own_folder() if path is None else path.resolve().parent
        self._state = _State(text, self._folder)
        _ = self._state.rounds  # what cannot be used is told before a window opens
        ready = path is not None and path.resolve().is_relative_to(packaged("lessons").resolve())
        self.path = None if ready else path
        self._draft = draft_of(path)
        self._on_disk = text if self.path is not None else ""
        self.carried_on = self._carry_on()

    @property
    def text(self) -> str:
        """The script as it is now."""
        return self._state.text

    @property
    def lesson(self) -> Lesson:
        """The lesson that the script is."""
        return self._state.lesson

    @property
    def rounds(self) -> tuple[DecidedRound, ...]:
        """The rounds with every choice made, also those that the caller makes."""
        return tuple(each for each in self._state.rounds if each.number is not None)

    @property
    def can_undo(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._done)

    @property
    def can_redo(self) -> bool:
        """Whether there is a change to make again."""
        return bool(self._undone)

    def undo(self) -> None:
        """Take the last change back."""
        if self._done:
            self._undone.append(self._state)
            self._state, _ = self._done.pop()
            self._keep()

    def redo(self) -> None:
        """Make the change again that was taken back."""
        if self._undone:
            self._done.append((self._state, ""))
            self._state = self._undone.pop()
            self._keep()

    def set_lesson(self, key: str, value: str | int | None) -> None:
        """Change something of the whole lesson; an empty value leaves it to its default.

        Raises
        ------
        CallerError
            If the lesson cannot be used with it; nothing is changed then. So for every change.
        """
        self._change(lambda text: script.with_value(text, key, value if value != "" else None), key)

    def set_time(self, index: int, time: ClockTime) -> None:
        """Set a round's clock; a wrong reading that was picked for another clock goes."""
        if self.lesson.rounds[index].time == time:
            return

        def change(text: str) -> str:
            if not isinstance(self.lesson.rounds[index].time, DayTime):
                text = script.with_round_value(text, index, "wrong", None)
            return script.with_round_value(text, index, "time", str(time))

        self._change(change, f"time {index}")

    def set_wrong(self, index: int, wrong: Sequence[ClockTime]) -> None:
        """Pick a round's wrong readings; none leaves them to the caller."""
        values = [str(each) for each in wrong]
        value = None if not values else values[0] if len(values) == 1 else values
        self._change(lambda text: script.with_round_value(text, index, "wrong", value))

    def set_moves(self, index: int, moves: Sequence[str]) -> None:
        """Pick a round's moves from left to right; none leaves them to the caller."""
        value = list(moves) or None
        self._change(lambda text: script.with_round_value(text, index, "moves", value))

    def add_round(self, index: int) -> None:
        """Add a round at this place, with a clock of the lesson's step that is not there yet."""
        there = {each.time for each in self.lesson.rounds}
        times = times_at(step(self.lesson.step))
        # Far from the last clock, so that a row of new rounds is not a row of neighbours.
        order = [times[(place * 5 + len(there) * 7) % len(times)] for place in range(len(times))]
        time = next((each for each in order if each not in there), order[0])
        self._change(lambda text: script.with_round_added(text, index, str(time)))

    def remove_round(self, index: int) -> None:
        """Take a round out; the last one stays."""
        order = [each for each in range(len(self.lesson.rounds)) if each != index]
        if order:
            self._change(lambda text: script.with_rounds(text, order))

    def move_round(self, index: int, to: int) -> None:
        """Put a round at another place among the others."""
        order = [each for each in range(len(self.lesson.rounds)) if each != index]
        order.insert(to, index)
        if order != sorted(order):
            self._change(lambda text: script.with_rounds(text, order))

    def offers(self, index: int, code: str) -> tuple[Offer, ...]:
        """Return the wrong readings that may be picked for a round, best first, told in a language.

        None for a kind of question in which the caller chooses them.
        """
        each = self.lesson.rounds[index]
        decided = self.rounds[index]
        if each.kind not in DIAL_KINDS or not isinstance(decided.question.time, ClockTime):
            return ()
        time, spoken = decided.question.time, language(self.lesson.language)
        registers = registers_of(self.lesson)
        used = [
            wrong.mixups for other in self.rounds if other is not decided for wrong in other.question.wrong
        ]
        ranked = rank(
            time,
            step=step(self.lesson.step),
            manners=spoken.manners(registers),
            used=used,
            minimum_difference_deg=self._state.stage.minimum_difference_deg,
        )
        picked = [wrong.time for wrong in decided.question.wrong]
        shown = list(ranked[:_CANDIDATES])
        shown += [other for other in ranked[_CANDIDATES:] if other.time in picked]
        teller = language(code)
        return tuple(
            Offer(
                time=one.time,
                shows=why_wrong(one.time, time, language=teller, registers=registers).written,
                child=" Or: ".join(mixup.explanation for mixup in MIXUPS if mixup.name in one.mixups),
            )
            for one in shown
        )

    def move_offers(self, index: int, lane: int) -> tuple[MoveOffer, ...]:
        """Return the moves for one lane of a round, those that fit first, each other one with the reason."""
        decided = self.rounds[index]
        others = [move.slug for number, move in enumerate(decided.moves) if number != lane]
        before = [move.slug for move in self.rounds[index - 1].moves] if index else []
        conditions = conditions_of(self.lesson)
        wanted = calm if decided.part == "calm" else lively
        found = []
        for move in catalogue().values():
            if not wanted(move, float(self.lesson.age)):
                continue
            reasons = [
                each.sentence
                for other in others
                for each in objections(move.slug, other, conditions=conditions, previous=before)
            ]
            found.append(MoveOffer(move, reasons[0] if reasons else ""))
        return tuple(sorted(found, key=lambda offer: bool(offer.reason)))

    def advise(self) -> StripAdvice:
        """Look the lesson over as `check` does; it has every sentence spoken, so it takes a while."""
        state = self._state
        try:
            with spoken_lengths() as lengths:
                rehearsal = rehearse(state.lesson, state.stage, lengths)
            findings = look_over(rehearsal)
        except CallerError as error:
            return StripAdvice(clocks=len(state.lesson.rounds), errors=(str(error),))
        return StripAdvice(
            minutes=rehearsal.length_s / 60.0,
            moving=rehearsal.gentler.mvpa_share,
            clocks=len(state.lesson.rounds),
            errors=tuple(each.sentence() for each in findings if each.level == "error"),
            sentences=tuple(each.sentence() for each in findings if each.level == "advice"),
        )

    def start_over(self, title: str, code: str) -> None:
        """Put a new lesson in the place of this one; undo brings it back."""
        self._change(lambda _: _NEW.format(title=title, language=code))

    def save(self, path: Path, *, replace: bool) -> None:
        """Write the script, over what stands there where the teacher has said so."""
        if path.parent == own_folder():
            make_folder(path.parent)
        if path == self.path and self.look_outside():
            raise UserError(
                f"{path.name} was changed by another program meanwhile: this is what it has now, "
                "and undo brings yours back."
            )
        write_text(path, self.text, replace=replace)
        self._on_disk = self.text
        self._forget_draft()
        self.path, self._draft = path, draft_of(path)

    def look_outside(self) -> bool:
        """Take over what another program has written to the script; undo brings back what was here.

        Returns whether there was something to take over.

        Raises
        ------
        CallerError
            If what stands there now cannot be used; this lesson stays as it is then.
        """
        if self.path is None or not is_file(self.path):
            return False
        written = text_of(self.path)
        if written == self._on_disk:
            return False
        self._on_disk = written
        if written == self.text:
            return False
        self._change(lambda _: written)
        return True

    def trial(self) -> Path:
        """Write the lesson as it is now to a place of its own, so that it can be led; return where."""
        folder = bench()
        make_folder(folder)
        hall = self._folder / self.lesson.hall
        if self.lesson.hall.endswith(".toml") and is_file(hall):
            write_text(folder / hall.name, text_of(hall), replace=True, private=True)
        place = folder / "trial-lesson.toml"
        # Without its class: what is only tried out is not in any class's record.
        write_text(place, script.with_value(self.text, "class", None), replace=True, private=True)
        return place

    def allowed_minutes(self, index: int) -> tuple[int, ...]:
        """Return the minutes that a round's dial may be turned to: those of the lesson's step."""
        time = self.rounds[index].question.time
        own = step_of(time.dial if isinstance(time, DayTime) else time)
        at = step(self.lesson.step)
        return tuple(sorted({*at.minutes, *(own.minutes if time.minute not in at.minutes else ())}))

    def _change(self, change: Callable[[str], str], merge: str = "") -> None:
        """Make a change, or none at all; changes in a row under one name are undone together."""
        state = _State(change(self.text), self._folder)
        _ = state.rounds
        if state.text == self.text:
            return
        if not (merge and self._done and self._done[-1][1] == merge):
            self._done.append((self._state, merge))
            del self._done[:-_MOST_UNDONE]
        self._undone.clear()
        self._state = state
        self._keep()

    def settle(self) -> None:
        """Let the next change be undone by itself: a drag or a field is done with."""
        if self._done:
            self._done[-1] = (self._done[-1][0], "")

    def _keep(self) -> None:
        make_folder(self._draft.parent)
        write_text(self._draft, self.text, replace=True, private=True)

    def _carry_on(self) -> bool:
        if not is_file(self._draft):
            return False
        with contextlib.suppress(CallerError):
            kept = _State(text_of(self._draft), self._folder)
            if kept.text != self.text and kept.rounds:
                self._done.append((self._state, ""))
                self._state = kept
                return True
        return False

    def _forget_draft(self) -> None:
        with contextlib.suppress(OSError):
            self._draft.unlink(missing_ok=True)


def settings(lesson: Lesson) -> dict[str, Any]:
    """Return what the form shows of a lesson, by key of the script."""
    return {
        "title": lesson.title,
        "class": lesson.class_name,
        "age": lesson.age,
        "step": lesson.step,
        "minutes": lesson.minutes or 0,
        "hall": lesson.hall,
        "language": lesson.language,
    }
