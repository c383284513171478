"""What the teacher does on the maker's page: each change, undo, files, and hearing it at once."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtWidgets import (
    QFileDialog,
)

from caller.clock import ClockError, ClockTime
from caller.errors import CallerError
from caller.file_writing import make_folder
from caller.lesson.library import own_folder
from caller.maker.process import ProgramBeside
from caller.maker.showing import LessonShown
from caller.maker.workshop import Workshop, settings

_MOST_LETTERS: Final = 50
_LOOK_MS: Final = 300
_OUR_ERRORS: Final = (1, 2)  # exit codes that say that a sentence tells why
_PLAIN: Final = QFileDialog.Option.DontUseNativeDialog
"""Qt's own file window: the same on every system, and it speaks to every screen reader."""


class LessonEdited(LessonShown):
    """Changes the lesson that is shown."""

    def __init__(self, path: Path | None, code: str, *, one_button: bool = False) -> None:
        super().__init__(path, code)
        self.one_button = one_button
        self._trial: ProgramBeside | None = None
        self._looks = QTimer(self, interval=_LOOK_MS)
        self._looks.timeout.connect(self._look_at_trial)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Take over what was written to the script meanwhile, when the teacher comes back to this window."""
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow():
            self.look_outside()
        super().changeEvent(event)

    def look_outside(self) -> None:
        """Show the script as another program has left it."""
        try:
            taken = self.workshop.look_outside()
        except CallerError as error:
            self._tell(str(error))
            return
        if taken:
            self._refresh()
            self._tell(self._say("changed-outside"))

    def _do(self, change: Callable[[], None]) -> bool:
        """Make a change and show it; what cannot be is told, and nothing is changed."""
        try:
            change()
        except CallerError as error:
            self._tell(re.sub(r"^lesson\.toml, line \d+, column \d+: ", "", str(error)))
            self._refresh()
            return False
        self._tell("")
        self._refresh()
        return True

    def _set(self, key: str, value: str | int) -> None:
        if (value or 0 if key == "minutes" else value) != settings(self.workshop.lesson)[key]:
            self._do(lambda: self.workshop.set_lesson(key, value))
            self.workshop.settle()

    def _choose_round(self, row: int) -> None:
        if row >= 0 and row != self._index:
            self.workshop.settle()
            self._index, self._lane = row, 0
            self._refresh()

    def _choose_lane(self, lane: int) -> None:
        self._lane = lane
        self._show_moves()

    def _turned(self, at: ClockTime) -> None:
        self._do(lambda: self.workshop.set_time(self._index, at))

    def _settle(self) -> None:
        self.workshop.settle()  # of whichever lesson is on the bench by then

    def _typed(self) -> None:
        text = self._time.text().strip()
        self._time.setModified(False)
        if text == str(self.workshop.rounds[self._index].question.time):
            return
        try:
            at = ClockTime.parse(text)
        except ClockError as error:
            self._tell(str(error))
            self._show_clock()
            return
        self._do(lambda: self.workshop.set_time(self._index, at))
        self.workshop.settle()

    def _pick_wrong(self, row: int) -> None:
        most = len(self.workshop.rounds[self._index].moves) - 1
        wrong = [
            each for each in self.workshop.lesson.rounds[self._index].wrong if isinstance(each, ClockTime)
        ]
        at = self._offers[row].time
        wrong = [each for each in wrong if each != at]
        self._do(lambda: self.workshop.set_wrong(self._index, [*wrong, at][-max(1, most) :]))

    def _pick_move(self, row: int) -> None:
        offer = self._moves[row]
        if offer.reason:
            self._tell(offer.reason)
            return
        moves = [move.slug for move in self.workshop.rounds[self._index].moves]
        moves[self._lane] = offer.move.slug
        self._do(lambda: self.workshop.set_moves(self._index, moves))

    def _add(self) -> None:
        if self._do(lambda: self.workshop.add_round(self._index + 1)):
            self._rounds.setCurrentRow(self._index + 1)

    def _step_hand(self, *, hours: int) -> None:
        """Turn the short hand on by hours, or the long one to the next minute of the lesson's step."""
        at = self.workshop.rounds[self._index].question.time
        if not isinstance(at, ClockTime):
            self._tell(self._say("no-wrong"))
            return
        minute = at.minute
        if not hours:
            allowed = self.workshop.allowed_minutes(self._index)
            minute = next((each for each in allowed if each > minute), allowed[0])
        wanted = ClockTime((at.hour + hours - 1) % 12 + 1, minute)
        self._do(lambda: self.workshop.set_time(self._index, wanted))

    def _next_round(self) -> None:
        self._rounds.setCurrentRow((self._index + 1) % self._rounds.count())

    def _remove(self) -> None:
        self._do(lambda: self.workshop.remove_round(self._index))

    def _up(self) -> None:
        self._shift(-1)

    def _down(self) -> None:
        self._shift(1)

    def _shift(self, by: int) -> None:
        to = self._index + by
        if 0 <= to < len(self.workshop.rounds):
            before, self._index = self._index, to
            if not self._do(lambda: self.workshop.move_round(before, to)):
                self._index = before

    def _dropped(self) -> None:
        order = [self._rounds.item(row).data(Qt.ItemDataRole.UserRole) for row in range(self._rounds.count())]
        moved = next(
            (each for each in order if [e for e in order if e != each] == sorted(set(order) - {each})), None
        )
        if moved is not None and order != sorted(order):
            # Of two neighbours that changed places either may have been moved: it comes to the same.
            self._index = order.index(moved)
            self._do(lambda: self.workshop.move_round(moved, order.index(moved)))

    def _undo(self) -> None:
        self._do(self.workshop.undo)

    def _redo(self) -> None:
        self._do(self.workshop.redo)

    def _new(self) -> None:
        if self.workshop.path is None:
            self._do(lambda: self.workshop.start_over(self._say("new-title"), self._code))
        else:
            self._begin(None)

    def _open(self) -> None:
        folder = self.workshop.path.parent if self.workshop.path else own_folder()
        name, _ = QFileDialog.getOpenFileName(
            self, self._say("open"), str(folder), f"{self._say('lessons')} (*.toml)", options=_PLAIN
        )
        if name:
            self._begin(Path(name))

    def _begin(self, path: Path | None) -> None:
        """Put another lesson on the bench; the draft of this one stays."""
        try:
            workshop = Workshop(path, title=self._say("new-title"), code=self._code)
        except CallerError as error:
            self._tell(str(error))
            return
        self.workshop = self.adviser.workshop = workshop
        self._index = self._lane = 0
        self._refresh()
        self._tell(self._say("carried-on") if workshop.carried_on else "")

    def _save(self) -> None:
        if self.workshop.path is None:
            self._save_as()
        else:
            self._save_to(self.workshop.path)

    def _save_somewhere(self) -> None:
        """Save without asking where: a new lesson among the teacher's own, under its title."""
        if self.workshop.path is not None:
            self._save_to(self.workshop.path)
            return
        name = _file_name(self.workshop.lesson.title)
        names = (name, *(f"{name}-{number}" for number in range(2, 1000)))
        self._save_to(next(p for p in (own_folder() / f"{each}.toml" for each in names) if not p.exists()))

    def _save_as(self) -> None:
        place = self.workshop.path or own_folder() / f"{_file_name(self.workshop.lesson.title)}.toml"
        if not place.parent.exists():
            place = Path.home() / place.name if place.parent != own_folder() else place
            self._do(lambda: make_folder(own_folder()))
        name, _ = QFileDialog.getSaveFileName(
            self, self._say("save-as"), str(place), f"{self._say('lessons')} (*.toml)", options=_PLAIN
        )
        if name:
            # The file window asks before it lets a file go; it has not, where the ending is ours.
            path = Path(name) if name.endswith(".toml") else Path(f"{name}.toml")
            self._save_to(path, replace=str(path) == name)

    def _save_to(self, path: Path, *, replace: bool = True) -> None:
        if self._do(lambda: self.workshop.save(path, replace=replace)):
            self._tell(self._say("saved", name=path.name))

    def _try(self, *, one: bool) -> None:
        """Have this call, or the whole lesson, led by the program itself in a process of its own."""
        if self._trial is not None and not self._trial.ended():
            return  # two voices at once would be understood by nobody
        try:
            words = ["run", str(self.workshop.trial()), "--window", "--try-out"]
        except CallerError as error:
            self._tell(str(error))
            return
        if one:
            words += ["--from", str(self._index + 1)]
        if self.one_button:
            words.append("--one-button")
        self._trial = ProgramBeside(*words)
        self._looks.start()
        self._tell(self._say("started"))

    def _look_at_trial(self) -> None:
        """Tell what kept the program from leading what is tried out."""
        trial = self._trial
        if trial is None or not trial.ended():
            return
        self._looks.stop()
        self._trial = None
        if trial.exit_code in _OUR_ERRORS and (complaint := trial.complaint()):
            self._tell(complaint)


def _file_name(title: str) -> str:
    """Return a title as a file may be called on every system."""
    plain = re.sub(r"[^\w]+", "-", title.lower()).strip("-")
    return plain[:_MOST_LETTERS] or "lesson"
