"""The maker's application: Qt itself, its language, and the one window it was opened for."""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import QLibraryInfo, QLocale, QTranslator
from PySide6.QtWidgets import QApplication

from caller.maker.class_window import ClassWindow
from caller.maker.drafts import only_here
from caller.maker.window import LETTERS_PT, MakerWindow


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
