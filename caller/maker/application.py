"""The maker's application: Qt itself, its language, and its windows; the class's own one is here."""

from __future__ import annotations

import re
import sys
from functools import partial
from pathlib import Path
from typing import Final

from PySide6.QtCore import QLibraryInfo, QLocale, Qt, QTranslator
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QSpinBox,
    QWidget,
)

from caller.clock.ladder import STEP_CODES
from caller.errors import CallerError
from caller.hall.hallfile import preset_names
from caller.languages import CODES, language, words
from caller.maker.classes import ClassMade
from caller.maker.lesson_window import LETTERS_PT, MakerWindow
from caller.maker.script import only_here
from caller.planning.classfile import LEAST_MINUTES, MOST_MINUTES

_AGES: Final = (4, 13)


class ClassWindow(QDialog):
    """One form; nothing is written before it is saved."""

    def __init__(self, name: str, code: str) -> None:
        super().__init__()
        self._say = partial(words(code, "maker").say)
        self.made = ClassMade(name, code=code)
        self.setWindowTitle(self._say("classes.title"))
        self.setMinimumWidth(620)
        self._form = form = QFormLayout(self)
        form.setVerticalSpacing(14)
        was = self.made.school_class
        self._name = QLineEdit(was.name)
        self._name.setMaxLength(60)
        self._youngest, self._oldest = QSpinBox(), QSpinBox()
        for field, value in zip((self._youngest, self._oldest), was.age, strict=True):
            field.setRange(*_AGES)
            field.setValue(value)
        self._step = QComboBox()
        for step_code in STEP_CODES:
            self._step.addItem(words(code, "titles").say(step_code), step_code)
        self._minutes = QSpinBox()
        self._minutes.setRange(LEAST_MINUTES, MOST_MINUTES)
        self._minutes.setValue(was.minutes)
        self._hall = QComboBox()
        self._hall.addItem(words(code, "maker").say("window.no-hall"), "")
        for preset in preset_names():
            self._hall.addItem(preset, preset)
        self._language = QComboBox()
        for each in CODES:
            self._language.addItem(language(each).name, each)
        for box, there in ((self._step, was.step), (self._hall, was.hall), (self._language, was.language)):
            if box.findData(there) < 0:
                box.addItem(there, there)  # a hall file of the teacher's own
            box.setCurrentIndex(box.findData(there))
        self._row("classes.name", self._name)
        self._row("classes.youngest", self._youngest)
        self._row("classes.oldest", self._oldest)
        self._row("window.field-step", self._step)
        self._row("window.field-minutes", self._minutes)
        self._row("window.field-hall", self._hall)
        self._row("window.field-language", self._language)
        known = QLabel("\n".join(self.made.knows(code)) or self._say("classes.knows-nothing"))
        known.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByKeyboard)
        self._row("classes.knows", known)
        self._told = QLabel()
        self._told.setWordWrap(True)
        self._told.setAccessibleName(self._say("classes.title"))
        form.addRow(self._told)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self._save)
        buttons.rejected.connect(self.reject)
        form.addRow(buttons)

    def _row(self, key: str, control: QWidget) -> None:
        control.setAccessibleName(self._say(key))
        self._form.addRow(self._say(key), control)

    def _save(self) -> None:
        """Write the file, and close; what is wrong is told, and the form stays."""
        youngest, oldest = sorted((self._youngest.value(), self._oldest.value()))
        try:
            self.made.save(
                {
                    "name": re.sub(r"\s+", " ", self._name.text()).strip(),
                    "age": f"{youngest}-{oldest}",
                    "step": self._step.currentData(),
                    "minutes": self._minutes.value(),
                    "hall": self._hall.currentData(),
                    "language": self._language.currentData(),
                }
            )
        except CallerError as error:
            self._told.setText(re.sub(r"^class\.toml, line \d+, column \d+: ", "", str(error)))
            return
        self.accept()

    @property
    def place(self) -> Path:
        """Where the class file is, or will be."""
        return self.made.path


def open_maker(path: Path | None, code: str, *, pace_s: float | None = None) -> int:
    """Open the maker and return once it is closed.

    Parameters
    ----------
    path
        The script to open; None for a new lesson.
    code
        The language of the window.
    pace_s
        For somebody who uses one button: how long the frame that walks by itself stays on each.

    Raises
    ------
    CallerError
        If the script cannot be used as it stands.
    """
    application = _application(code)
    with only_here(path):
        window = MakerWindow(path, code, pace_s=pace_s)
        window.showMaximized()
        return int(application.exec())


def open_class(name: str, code: str) -> int:
    """Open the form of a class and return once it is closed.

    Parameters
    ----------
    name
        The class to change; empty for a new one.
    code
        The language of the window.

    Raises
    ------
    CallerError
        If its file cannot be used as it stands.
    """
    application = _application(code)
    window = ClassWindow(name, code)
    window.show()
    return int(application.exec())


def _application(code: str) -> QApplication:
    application = QApplication.instance() or QApplication([sys.argv[0]])
    assert isinstance(application, QApplication)
    application.setStyle("Fusion")
    letters = application.font()
    letters.setPointSizeF(LETTERS_PT)
    application.setFont(letters)
    translator = QTranslator(application)
    folder = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
    if translator.load(QLocale(code), "qtbase", "_", folder):
        application.installTranslator(translator)
    return application
