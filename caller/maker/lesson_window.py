"""The lesson maker's window: one page over the workshop, every control with a name that is read out."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Final, TypeVar

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QAction, QCloseEvent, QFont, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QButtonGroup,
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListView,
    QListWidget,
    QPushButton,
    QSizePolicy,
    QSpinBox,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from caller.clock.ladder import STEP_CODES
from caller.hall.hallfile import preset_names
from caller.languages import CODES, language, words
from caller.maker.controls import PictureList, SwitchRow, TurnedDial
from caller.maker.editing import LessonEdited
from caller.maker.showing import DIAL_PX, MOVE_PX, ROUND_PX, Adviser

_Control = TypeVar("_Control", bound=QWidget)

LETTERS_PT: Final = 12
_FRAME_MS: Final = 100
_ADVICE_MS: Final = 700
_AGES: Final = (4, 13)


class MakerWindow(LessonEdited):
    """The page: where everything stands, and what it is connected to."""

    def __init__(self, path: Path | None, code: str, *, pace_s: float | None = None) -> None:
        super().__init__(path, code, one_button=pace_s is not None)
        self._pace_s = pace_s
        self.adviser = Adviser(self.workshop)
        self.adviser.told.connect(self._show_advice)
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
        if self._pace_s is not None:
            rows.addWidget(self._switch_row(self._pace_s))
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
            ("switch-close", QKeySequence("Ctrl+W"), self.close),
        ):
            if key == "switch-close":  # at the far end, where nobody presses it by mistake
                gap = QWidget()
                gap.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
                bar.addWidget(gap)
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

    def _switch_row(self, pace_s: float) -> SwitchRow:
        """Return what makes a lesson with one button alone, from left to right in the order of the work."""
        return SwitchRow(
            [
                (self._say("switch-hour"), partial(self._step_hand, hours=1)),
                (self._say("switch-minute"), partial(self._step_hand, hours=0)),
                (self._say("add"), self._add),
                (self._say("switch-round"), self._next_round),
                (self._say("undo"), self._undo),
                (self._say("try-call"), partial(self._try, one=True)),
                (self._say("save"), self._save_somewhere),
                (self._say("try-lesson"), partial(self._try, one=False)),
                (self._say("switch-close"), self.close),
            ],
            name=self._say("switch-row"),
            pace_s=pace_s,
        )

    def _strip(self) -> QVBoxLayout:
        self._figures = _named(QLabel(), self._say("strip-name"))
        large = QFont(self.font())
        large.setPointSizeF(LETTERS_PT * 1.3)
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
        self._rounds.setIconSize(QSize(ROUND_PX, ROUND_PX))
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
        self._wrong = _named(PictureList(DIAL_PX), self._say("wrong"))
        self._wrong.setFlow(QListView.Flow.LeftToRight)
        self._wrong.setWrapping(False)
        self._wrong.setFixedHeight(DIAL_PX + 62)
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
        self._pictures = _named(PictureList(MOVE_PX), self._say("moves"))
        self._pictures.setGridSize(QSize(MOVE_PX + 40, MOVE_PX + 46))
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


def _named(control: _Control, name: str) -> _Control:
    control.setAccessibleName(name)
    return control
