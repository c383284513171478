"""The lesson as the maker's page shows it: what each control holds, and how it is brought up to date."""

from __future__ import annotations

import threading
import time
from pathlib import Path
from typing import Final

from PySide6.QtCore import QLocale, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QBrush, QColor
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QMainWindow,
    QSpinBox,
)

from caller.clock import ClockTime, DayTime
from caller.languages import language, words
from caller.maker.controls import PictureList, TurnedDial, dial_pixels, icon_of, move_pixels
from caller.maker.workshop import MoveOffer, Offer, StripAdvice, Workshop, settings

DIAL_PX: Final = 84
ROUND_PX: Final = 48
MOVE_PX: Final = 92
_LOOP_S: Final = 2.0
_PALE: Final = QColor(90, 94, 102)  # 6:1 on white
_SIDES: Final = {2: ("left", "right"), 3: ("left", "middle", "right")}


class Adviser(QObject):
    """Has the lesson looked over beside the window; the last change is the one that is told."""

    told = Signal(object)

    def __init__(self, workshop: Workshop) -> None:
        super().__init__()
        self.workshop = workshop
        self._wanted = threading.Event()
        threading.Thread(target=self._work, daemon=True).start()

    def ask(self) -> None:
        """Look the lesson over as it is now."""
        self._wanted.set()

    def _work(self) -> None:
        while self._wanted.wait():
            self._wanted.clear()
            advice = self.workshop.advise()
            if not self._wanted.is_set():
                self.told.emit(advice)


class LessonShown(QMainWindow):
    """Shows the lesson on the workbench; the controls themselves are put in by the page over this one."""

    adviser: Adviser
    _actions: dict[str, QAction]
    _rounds: QListWidget
    _dial: TurnedDial
    _time: QLineEdit
    _said: QLabel
    _wrong: PictureList
    _shows: QLabel
    _lanes: QButtonGroup
    _pictures: PictureList
    _how: QLabel
    _figures: QLabel
    _told: QLabel
    _advice: QListWidget
    _fields: dict[str, QLineEdit | QComboBox | QSpinBox]
    _pause: QTimer

    def __init__(self, path: Path | None, code: str) -> None:
        super().__init__()
        self._code = code
        self._words = words(code, "maker")
        self.workshop = Workshop(path, title=self._say("new-title"), code=code)
        self._index = self._lane = 0
        self._offers: tuple[Offer, ...] = ()
        self._moves: tuple[MoveOffer, ...] = ()
        self._shown_moves: object = None
        self._began_s = time.monotonic()

    def _refresh(self) -> None:
        """Show the lesson as it is now."""
        self._index = min(self._index, len(self.workshop.rounds) - 1)
        self._show_rounds()
        self._show_clock()
        self._show_wrong()
        self._show_moves()
        self._show_lesson()
        self._actions["undo"].setEnabled(self.workshop.can_undo)
        self._actions["redo"].setEnabled(self.workshop.can_redo)
        name = self.workshop.path.name if self.workshop.path else self.workshop.lesson.title
        self.setWindowTitle(f"{name} – {self._say('title')}")
        self._pause.start()

    def _show_rounds(self) -> None:
        spoken = language(self.workshop.lesson.language)
        self._rounds.blockSignals(True)
        self._rounds.clear()
        for number, each in enumerate(self.workshop.rounds):
            at = each.question.time
            dial = at.dial if isinstance(at, DayTime) else at
            item = QListWidgetItem(
                icon_of(dial_pixels(dial, 2 * ROUND_PX)),
                f"{number + 1}.  {at}\n{spoken.analogue(dial).written}",
            )
            item.setData(Qt.ItemDataRole.UserRole, number)
            moves = ", ".join(move.name(self._code) for move in each.moves)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{number + 1}: {at}. {moves}")
            item.setToolTip(moves)
            self._rounds.addItem(item)
        self._rounds.setCurrentRow(self._index)
        self._rounds.blockSignals(False)

    def _show_clock(self) -> None:
        at = self.workshop.rounds[self._index].question.time
        dial = at.dial if isinstance(at, DayTime) else at
        said = language(self.workshop.lesson.language).analogue(dial).written
        self._dial.show_time(dial, self.workshop.allowed_minutes(self._index))
        self._dial.setEnabled(isinstance(at, ClockTime))
        self._dial.setAccessibleName(self._say("clock-value", time=at, words=said))
        self._dial.setAccessibleDescription(self._say("clock"))
        if not self._time.hasFocus() or not self._time.isModified():
            self._time.setText(str(at))
        self._said.setText(said)

    def _show_wrong(self) -> None:
        self._offers = self.workshop.offers(self._index, self._code)
        decided = {wrong.time for wrong in self.workshop.rounds[self._index].question.wrong}
        self._wrong.blockSignals(True)
        self._wrong.clear()
        for offer in self._offers:
            taken = offer.time in decided
            item = QListWidgetItem(
                icon_of(dial_pixels(offer.time, 2 * DIAL_PX), framed=taken),
                ("✓ " if taken else "") + str(offer.time),
            )
            mark = f" ({self._say('picked')})" if taken else ""
            item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{offer.time}{mark}: {offer.shows}")
            item.setToolTip(offer.child or offer.shows)
            self._wrong.addItem(item)
        at = next((n for n, offer in enumerate(self._offers) if offer.time in decided), 0)
        self._wrong.setCurrentRow(at if self._offers else -1)
        self._wrong.blockSignals(False)
        self._tell_wrong(self._wrong.currentRow())

    def _show_moves(self) -> None:
        decided = self.workshop.rounds[self._index]
        sides = _SIDES.get(len(decided.moves), ())
        self._lane = min(self._lane, max(0, len(sides) - 1))
        for number, button in enumerate(self._lanes.buttons()):
            button.setVisible(number < len(sides))
            if number < len(sides):
                text = self._say(f"lane-{sides[number]}", move=decided.moves[number].name(self._code))
                button.setText(text)
                button.setAccessibleName(text)
                button.setChecked(number == self._lane)
        self._moves = self.workshop.move_offers(self._index, self._lane) if sides else ()
        slug = decided.moves[self._lane].slug if sides else ""
        shown = [(each.move.slug, bool(each.reason), each.move.slug == slug) for each in self._moves]
        self._pictures.blockSignals(True)
        if shown != self._shown_moves:
            self._pictures.clear()
            for offer in self._moves:
                name = offer.move.name(self._code)
                item = QListWidgetItem(("✓ " if offer.move.slug == slug else "") + name)
                item.setSizeHint(self._pictures.gridSize())
                item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{name}. {offer.reason}")
                item.setToolTip(offer.reason or offer.move.how(self._code))
                if offer.reason:
                    item.setForeground(QBrush(_PALE))
                self._pictures.addItem(item)
            self._pictures.setCurrentRow(next((n for n, each in enumerate(shown) if each[2]), -1))
        self._shown_moves = shown
        self._pictures.blockSignals(False)
        self._tell_move(self._pictures.currentRow())
        self._animate(everything=True)

    def _show_lesson(self) -> None:
        for key, value in settings(self.workshop.lesson).items():
            field = self._fields[key]
            field.blockSignals(True)
            if isinstance(field, QLineEdit):
                field.setText(value)
            elif isinstance(field, QSpinBox):
                field.setValue(value)
            else:
                if field.findData(value) < 0:
                    field.addItem(value, value)  # a hall file of the teacher's own
                field.setCurrentIndex(field.findData(value))
            field.blockSignals(False)

    def _animate(self, *, everything: bool = False) -> None:
        """Move the figures that can be seen."""
        phase = (time.monotonic() - self._began_s) / _LOOP_S % 1.0
        seen = self._pictures.viewport().rect()
        decided = self.workshop.rounds[self._index].moves
        slug = decided[self._lane].slug if self._lane < len(decided) else ""
        for row, offer in enumerate(self._moves):
            item = self._pictures.item(row)
            if everything or self._pictures.visualItemRect(item).intersects(seen):
                pixels = move_pixels(offer.move.slug, phase, 2 * MOVE_PX, fits=not offer.reason)
                item.setIcon(icon_of(pixels, framed=offer.move.slug == slug))

    def _look_over(self) -> None:
        self._advice.clear()
        self._advice.addItem(self._say("looking"))
        self.adviser.ask()

    def _show_advice(self, advice: StripAdvice) -> None:
        if advice.minutes:
            self._figures.setText(
                self._say(
                    "strip-single" if advice.clocks == 1 else "strip",
                    minutes=QLocale(self._code).toString(advice.minutes, "f", 1),
                    share=f"{advice.moving:.0%}",
                    clocks=advice.clocks,
                )
            )
        self._advice.clear()
        for sign, sentences in (("✗ ", advice.errors), ("· ", advice.sentences)):
            self._advice.addItems([sign + each for each in sentences])
        if not self._advice.count():
            self._advice.addItem(f"✓ {self._say('no-advice')}")

    def _tell(self, text: str) -> None:
        self._told.setText(text)

    def _tell_wrong(self, row: int) -> None:
        self._shows.setText(
            self._offers[row].shows if 0 <= row < len(self._offers) else self._say("no-wrong")
        )

    def _tell_move(self, row: int) -> None:
        if 0 <= row < len(self._moves):
            offer = self._moves[row]
            how = offer.reason or self._say(
                "move-picked", move=offer.move.name(self._code), how=offer.move.how(self._code)
            )
            self._how.setText(how)

    def _say(self, key: str, **slots: object) -> str:
        return self._words.say(f"window.{key}", **slots)
