"""The lesson maker's window: one page over the workshop, every control with a name that is read out."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Final, TypeVar

from PySide6.QtCore import QLibraryInfo, QLocale, QObject, QSize, Qt, QTimer, QTranslator, Signal
from PySide6.QtGui import QAction, QBrush, QCloseEvent, QColor, QFont, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QButtonGroup,
    QComboBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListView,
    QListWidget,
    QListWidgetItem,
    QMainWindow,
    QPushButton,
    QSpinBox,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from caller.clock.ladder import STEP_CODES
from caller.clock.times import ClockError, ClockTime, DayTime
from caller.errors import CallerError
from caller.file_writing import make_folder
from caller.hall.hallfile import preset_names
from caller.languages import CODES, language, words
from caller.lesson.library import own_folder
from caller.maker.controls import PictureList, TurnedDial, icon_of
from caller.maker.pictures import dial_pixels, move_pixels
from caller.maker.workshop import Advice, MoveOffer, Offer, Workshop, settings

_Control = TypeVar("_Control", bound=QWidget)

_DIAL_PX: Final = 84
_ROUND_PX: Final = 48
_MOVE_PX: Final = 92
_LETTERS_PT: Final = 12
_FRAME_MS: Final = 100
_LOOP_S: Final = 2.0
_ADVICE_MS: Final = 700
_MOST_LETTERS: Final = 50
_AGES: Final = (4, 13)
_PALE: Final = QColor(90, 94, 102)  # 6:1 on white
_SIDES: Final = {2: ("left", "right"), 3: ("left", "middle", "right")}


class _Adviser(QObject):
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


class MakerWindow(QMainWindow):
    """The page."""

    def __init__(self, path: Path | None, code: str) -> None:
        super().__init__()
        self._code = code
        self._words = words(code, "maker")
        self.workshop = Workshop(path, title=self._say("new-title"), code=code)
        self.adviser = _Adviser(self.workshop)
        self.adviser.told.connect(self._show_advice)
        self._index = self._lane = 0
        self._offers: tuple[Offer, ...] = ()
        self._moves: tuple[MoveOffer, ...] = ()
        self._shown_moves: object = None
        self._began_s = time.monotonic()
        self._trials: list[subprocess.Popen[bytes]] = []
        self._build()
        self._pause = QTimer(self, singleShot=True, interval=_ADVICE_MS)
        self._pause.timeout.connect(self._look_over)
        self._frames = QTimer(self, interval=_FRAME_MS)
        self._frames.timeout.connect(self._animate)
        self._frames.start()
        self._refresh()
        if self.workshop.carried_on:
            self._tell(self._say("carried-on"))

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Close; every change is in the draft already."""
        self._frames.stop()
        super().closeEvent(event)

    # -- what there is on the page

    def _build(self) -> None:
        self.resize(1280, 720)
        self._build_bar()
        page = QWidget()
        rows = QVBoxLayout(page)
        rows.setContentsMargins(8, 4, 8, 4)
        rows.addLayout(self._strip())
        columns = QHBoxLayout()
        columns.addLayout(self._rounds_column(), 24)
        columns.addLayout(self._clock_column(), 38)
        tabs = QTabWidget()
        tabs.addTab(self._moves_tab(), self._say("moves"))
        tabs.addTab(self._lesson_tab(), self._say("lesson"))
        columns.addWidget(tabs, 38)
        rows.addLayout(columns, 1)
        self.setCentralWidget(page)

    def _build_bar(self) -> None:
        bar = self.addToolBar(self._say("title"))
        bar.setMovable(False)
        self._actions: dict[str, QAction] = {}
        keys = QKeySequence.StandardKey
        for key, shortcut, do in (
            ("new", keys.New, self._new),
            ("open", keys.Open, self._open),
            ("save", keys.Save, self._save),
            ("save-as", QKeySequence("Ctrl+Shift+S"), self._save_as),
            ("undo", keys.Undo, self._undo),
            ("redo", QKeySequence("Ctrl+Y"), self._redo),
            ("try-call", QKeySequence("F5"), partial(self._try, one=True)),
            ("try-lesson", QKeySequence("Shift+F5"), partial(self._try, one=False)),
        ):
            action = QAction(self._say(key), self)
            action.setShortcut(shortcut)
            action.setToolTip(f"{self._say(key)} ({action.shortcut().toString()})")
            action.triggered.connect(lambda _checked=False, do=do: do())
            bar.addAction(action)
            self._actions[key] = action
            if key in ("save-as", "redo"):
                bar.addSeparator()
            button = bar.widgetForAction(action)
            button.setAccessibleName(self._say(key))
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def _strip(self) -> QVBoxLayout:
        self._figures = _named(QLabel(), self._say("strip-name"))
        large = QFont(self.font())
        large.setPointSizeF(_LETTERS_PT * 1.3)
        large.setBold(True)
        self._figures.setFont(large)
        self._told = _named(QLabel(), self._say("advice"))
        self._told.setWordWrap(True)
        self._advice = _named(QListWidget(), self._say("advice"))
        self._advice.setWordWrap(True)
        self._advice.setMaximumHeight(76)
        self._advice.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        column = QVBoxLayout()
        line = QHBoxLayout()
        line.addWidget(self._figures)
        line.addSpacing(24)
        line.addWidget(self._told, 1)
        column.addLayout(line)
        column.addWidget(self._advice)
        return column

    def _rounds_column(self) -> QVBoxLayout:
        column = QVBoxLayout()
        column.addWidget(QLabel(self._say("rounds")))
        self._rounds = _named(QListWidget(), self._say("rounds"))
        self._rounds.setIconSize(QSize(_ROUND_PX, _ROUND_PX))
        self._rounds.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self._rounds.setDefaultDropAction(Qt.DropAction.MoveAction)
        self._rounds.currentRowChanged.connect(self._choose_round)
        self._rounds.model().rowsMoved.connect(lambda *_: QTimer.singleShot(0, self._dropped))
        column.addWidget(self._rounds, 1)
        for keys in (("add", "remove"), ("up", "down")):
            line = QHBoxLayout()
            for key in keys:
                button = _named(QPushButton(self._say(key)), self._say(key))
                button.clicked.connect(getattr(self, f"_{key}"))
                line.addWidget(button)
                shortcut = {"up": "Alt+Up", "down": "Alt+Down", "add": "Ins", "remove": "Ctrl+Del"}[key]
                button.setShortcut(QKeySequence(shortcut))
                button.setToolTip(f"{self._say(key)} ({shortcut})")
            column.addLayout(line)
        return column

    def _clock_column(self) -> QVBoxLayout:
        column = QVBoxLayout()
        column.addWidget(QLabel(self._say("clock")))
        self._dial = _named(TurnedDial(), self._say("clock"))
        self._dial.turned.connect(self._turned)
        self._dial.let_go.connect(self._settle)
        column.addWidget(self._dial, 3)
        line = QHBoxLayout()
        self._time = _named(QLineEdit(), self._say("type-time"))
        self._time.setMaximumWidth(110)
        self._time.editingFinished.connect(self._typed)
        self._time.returnPressed.connect(self._dial.setFocus)  # so that undo means the lesson again
        self._said = QLabel()
        label = QLabel(f"&{self._say('type-time')}")
        label.setBuddy(self._time)
        for widget in (label, self._time, self._said):
            line.addWidget(widget)
        line.addStretch(1)
        column.addLayout(line)
        head = QHBoxLayout()
        head.addWidget(QLabel(self._say("wrong")), 1)
        free = _named(
            QPushButton(self._say("caller-chooses")), f"{self._say('wrong')}: {self._say('caller-chooses')}"
        )
        free.clicked.connect(lambda: self._do(lambda: self.workshop.set_wrong(self._index, ())))
        head.addWidget(free)
        column.addLayout(head)
        self._wrong = _named(PictureList(_DIAL_PX), self._say("wrong"))
        self._wrong.setFlow(QListView.Flow.LeftToRight)
        self._wrong.setWrapping(False)
        self._wrong.setFixedHeight(_DIAL_PX + 62)
        self._wrong.picked.connect(self._pick_wrong)
        self._wrong.currentRowChanged.connect(self._tell_wrong)
        column.addWidget(self._wrong)
        self._shows = _named(QLabel(), self._say("wrong"))
        self._shows.setWordWrap(True)
        self._shows.setMinimumHeight(64)
        self._shows.setAlignment(Qt.AlignmentFlag.AlignTop)
        column.addWidget(self._shows)
        return column

    def _moves_tab(self) -> QWidget:
        page = QWidget()
        column = QVBoxLayout(page)
        line = QHBoxLayout()
        self._lanes = QButtonGroup(self)
        for number in range(3):
            button = QPushButton()
            button.setCheckable(True)
            self._lanes.addButton(button, number)
            line.addWidget(button, 1)
        self._lanes.idClicked.connect(self._choose_lane)
        column.addLayout(line)
        self._pictures = _named(PictureList(_MOVE_PX), self._say("moves"))
        self._pictures.setGridSize(QSize(_MOVE_PX + 40, _MOVE_PX + 46))
        self._pictures.picked.connect(self._pick_move)
        self._pictures.currentRowChanged.connect(self._tell_move)
        column.addWidget(self._pictures, 1)
        self._how = _named(QLabel(), self._say("moves"))
        self._how.setWordWrap(True)
        self._how.setMinimumHeight(48)
        self._how.setAlignment(Qt.AlignmentFlag.AlignTop)
        column.addWidget(self._how)
        free = _named(
            QPushButton(self._say("caller-chooses")), f"{self._say('moves')}: {self._say('caller-chooses')}"
        )
        free.clicked.connect(lambda: self._do(lambda: self.workshop.set_moves(self._index, ())))
        column.addWidget(free)
        return page

    def _lesson_tab(self) -> QWidget:
        page = QWidget()
        form = QFormLayout(page)
        titles = words(self._code, "titles")
        self._title, self._class = QLineEdit(), QLineEdit()
        self._steps, self._hall, self._language = QComboBox(), QComboBox(), QComboBox()
        self._minutes = QSpinBox()
        self._minutes.setRange(0, 120)
        self._minutes.setSpecialValueText(self._say("open-end"))
        self._age = QSpinBox()
        self._age.setRange(*_AGES)
        for number in (self._minutes, self._age):
            number.setKeyboardTracking(False)
        for step_code in STEP_CODES:
            self._steps.addItem(titles.say(step_code), step_code)
        for code in CODES:
            self._language.addItem(f"{language(code).name} ({code})", code)
        self._hall.addItem(self._say("no-hall"), "")
        for name in preset_names():
            self._hall.addItem(name, name)
        self._fields: dict[str, QLineEdit | QComboBox | QSpinBox] = {
            "title": self._title,
            "class": self._class,
            "age": self._age,
            "step": self._steps,
            "minutes": self._minutes,
            "hall": self._hall,
            "language": self._language,
        }
        for key, field in self._fields.items():
            form.addRow(self._say(f"field-{key}"), _named(field, self._say(f"field-{key}")))
            if isinstance(field, QLineEdit):
                field.editingFinished.connect(
                    lambda key=key, field=field: self._set(key, field.text().strip())
                )
            elif isinstance(field, QSpinBox):
                field.valueChanged.connect(lambda value, key=key: self._set(key, value or ""))
            else:
                field.activated.connect(lambda _, key=key, field=field: self._set(key, field.currentData()))
        return page

    # -- what the page shows

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
                icon_of(dial_pixels(dial, 2 * _ROUND_PX)),
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
                icon_of(dial_pixels(offer.time, 2 * _DIAL_PX), framed=taken),
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
                pixels = move_pixels(offer.move.slug, phase, 2 * _MOVE_PX, fits=not offer.reason)
                item.setIcon(icon_of(pixels, framed=offer.move.slug == slug))

    def _look_over(self) -> None:
        self._advice.clear()
        self._advice.addItem(self._say("looking"))
        self.adviser.ask()

    def _show_advice(self, advice: Advice) -> None:
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

    # -- what the teacher does

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
        self._trials = [each for each in self._trials if each.poll() is None]
        if self._trials:
            return  # two voices at once would be understood by nobody
        try:
            command = ["run", str(self.workshop.trial()), "--window"]
        except CallerError as error:
            self._tell(str(error))
            return
        if one:
            command += ["--from", str(self._index + 1)]
        program = (
            [sys.executable] if getattr(sys, "frozen", False) else [sys.executable, "-P", "-m", "caller"]
        )
        self._trials.append(subprocess.Popen([*program, *command], env=dict(os.environ)))
        self._tell(self._say("started"))

    def _say(self, key: str, **slots: object) -> str:
        return self._words.say(f"window.{key}", **slots)


_PLAIN: Final = QFileDialog.Option.DontUseNativeDialog
"""Qt's own file window: the same on every system, and it speaks to every screen reader."""


def open_maker(path: Path | None, code: str) -> int:
    """Open the maker and return once it is closed.

    Parameters
    ----------
    path
        The script to open; None for a new lesson.
    code
        The language of the window.

    Raises
    ------
    CallerError
        If the script cannot be used as it stands.
    """
    application = QApplication.instance() or QApplication([sys.argv[0]])
    assert isinstance(application, QApplication)
    application.setStyle("Fusion")
    letters = application.font()
    letters.setPointSizeF(_LETTERS_PT)
    application.setFont(letters)
    translator = QTranslator(application)
    folder = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
    if translator.load(QLocale(code), "qtbase", "_", folder):
        application.installTranslator(translator)
    window = MakerWindow(path, code)
    window.showMaximized()
    return int(application.exec())


def _named(control: _Control, name: str) -> _Control:
    control.setAccessibleName(name)
    return control


def _file_name(title: str) -> str:
    """Return a title as a file may be called on every system."""
    plain = re.sub(r"[^\w]+", "-", title.lower()).strip("-")
    return plain[:_MOST_LETTERS] or "lesson"
