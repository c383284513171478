"""One button for the whole maker: a row of large buttons that the frame walks along by itself."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from typing import Final

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from caller.maker.process import PACE_S

IGNORED_S: Final = 0.3
"""A second press within this time does nothing: a hand that trembles."""

LIT: Final = "#ffd34d"
_LOOK: Final = f"""
QPushButton {{ padding: 10px 4px; border: 4px solid #8a8f98; background: #ffffff; color: #111111; }}
QPushButton:focus {{ border-color: #0b5e91; background: {LIT}; }}
"""

SwitchStep = tuple[str, Callable[[], object]]
"""What a button of the row says, and does."""


class SwitchRow(QWidget):
    """Buttons in a row, one of which has the keys; at a set pace the next one has them.

    Any key presses the one that has the frame. It stays there for one more pace, so that what is wanted
    several times is pressed several times.
    """

    def __init__(self, steps: Sequence[SwitchStep], *, name: str, pace_s: float = PACE_S) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setStyleSheet(_LOOK)
        self.buttons: list[QPushButton] = []
        self.at = 0
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 4, 0, 0)
        self._pace = QTimer(self, interval=round(1000 * pace_s))
        for text, do in steps:
            button = _Switched(text)
            button.setAccessibleName(text)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.pressed_by_key.connect(self._pace.start)
            button.clicked.connect(lambda _checked=False, do=do: do())
            line.addWidget(button, 1)
            self.buttons.append(button)
        self._pace.timeout.connect(self.go_on)
        self._pace.start()

    def go_on(self) -> None:
        """Give the keys to the next button; not while another window is in front."""
        if self.isActiveWindow():
            self.at = (self.at + 1) % len(self.buttons)
            self.buttons[self.at].setFocus()


class _Switched(QPushButton):
    """A button that any key presses, at once."""

    pressed_by_key = Signal()

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self._pressed_s = -IGNORED_S

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Press it, unless the key is held or trembles."""
        now_s = time.monotonic()
        if event.isAutoRepeat() or now_s - self._pressed_s < IGNORED_S:
            return
        self._pressed_s = now_s
        self.pressed_by_key.emit()
        self.click()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Do nothing more: the press was it."""
        event.accept()
