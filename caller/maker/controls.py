"""Controls of the maker that Qt does not have: dials, lists of pictures, and one button for the whole
window.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QIcon, QImage, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDial,
    QHBoxLayout,
    QListView,
    QListWidget,
    QPushButton,
    QSizePolicy,
    QWidget,
)

from caller.clock import ClockTime, hands
from caller.maker.process import PACE_S
from caller.moves.poses import animation, pose
from caller.screen.figure import LOOKS, FigureColours, draw_figure
from caller.screen.for_paper import draw_plain_dial
from caller.screen.raster import Raster
from caller.screen.theme import LIGHT

DrawnPixels = NDArray[np.uint8]
"""Shape (height, width, 4), blue, green, red, alpha, premultiplied."""

_STANDING: Final = 0.66  # of the picture's height; arms reach a quarter higher, and jumps a little more
_GROUND: Final = 0.88
_GREY: Final = (0.114, 0.587, 0.299)  # how bright blue, green and red look: ITU-R BT.601
_FAINT: Final = 0.35
_MOMENTS: Final = 12


@lru_cache(maxsize=256)
def dial_pixels(time: ClockTime, size: int) -> DrawnPixels:
    """Return a dial that fills a square of `size` pixels, on nothing."""
    raster = Raster(size, size)
    draw_plain_dial(raster.canvas, time, size=size)
    return raster.pixels


def move_pixels(slug: str, phase: float, size: int, *, fits: bool) -> DrawnPixels:
    """Return a square picture of a move at a phase of its loop, 0 to 1; what does not fit is pale."""
    return _move_pixels(slug, round(phase * _MOMENTS) % _MOMENTS, size, fits)


@lru_cache(maxsize=320)  # what can be seen at once, and some that were just scrolled away
def _move_pixels(slug: str, moment: int, size: int, fits: bool) -> DrawnPixels:
    raster = Raster(size, size)
    raster.canvas.clear(LIGHT.face)
    draw_figure(
        raster.canvas,
        pose(slug, moment / _MOMENTS),
        view=animation(slug).view,
        centre_x=size / 2,
        ground_y=_GROUND * size,
        height=_STANDING * size,
        look=LOOKS[sum(map(ord, slug)) % len(LOOKS)],
        colours=FigureColours(),
    )
    if not fits:
        grey = raster.pixels[..., :3].astype(np.float32) @ np.array(_GREY, np.float32)
        raster.pixels[..., :3] = (255 - _FAINT * (255 - grey)).astype(np.uint8)[..., None]
    return raster.pixels


_HOURS_REACH: Final = 0.56  # of the radius: who takes hold further out means the long hand
_FOCUS: Final = QColor(11, 94, 145)


def image_of(pixels: DrawnPixels) -> QImage:
    """Return pixels as Qt's picture, without a copy: keep them as long as it, and draw nothing on it."""
    height, width = pixels.shape[:2]
    return QImage(pixels.data, width, height, 4 * width, QImage.Format.Format_ARGB32_Premultiplied)


def icon_of(pixels: DrawnPixels, *, framed: bool = False) -> QIcon:
    """Return pixels as an icon, the picked one with a frame."""
    pixmap = QPixmap.fromImage(image_of(pixels).copy())
    if framed:
        painter = QPainter(pixmap)
        pen = painter.pen()
        pen.setColor(_FOCUS)
        pen.setWidth(max(4, pixmap.width() // 20))
        painter.setPen(pen)
        inset = pen.width() // 2
        painter.drawRect(pixmap.rect().adjusted(inset, inset, -inset, -inset))
        painter.end()
    return QIcon(pixmap)


class TurnedDial(QDial):
    """A clock whose hands are turned by mouse, wheel or arrow keys.

    It is a slider of 720 minutes to Qt and to a screen reader. The value is only ever one of the minutes that
    may be shown.
    """

    turned = Signal(object)
    """Carries the new `ClockTime`."""

    let_go = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setRange(0, 719)
        self.setWrapping(True)
        self.setTracking(True)
        self.setMinimumSize(220, 220)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._minutes: tuple[int, ...] = tuple(range(60))
        self._held: Literal["hour", "minute"] | None = None
        self._at = 0
        self.valueChanged.connect(self._moved)

    @property
    def time(self) -> ClockTime:
        """What the hands show."""
        return ClockTime(self._at // 60 or 12, self._at % 60)

    def show_time(self, time: ClockTime, minutes: tuple[int, ...]) -> None:
        """Set the hands, and which minutes they may be turned to."""
        self._minutes = minutes
        self._at = time.hour % 12 * 60 + time.minute
        self.blockSignals(True)
        self.setSingleStep(1)
        self.setPageStep(60)
        self.setValue(self._at)
        self.blockSignals(False)
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold of the hand that is meant."""
        angle, reach = self._polar(event)
        at = hands(self.time)
        hour_off, minute_off = (_between(angle, each) for each in (at.hour_deg, at.minute_deg))
        self._held = "hour" if reach < _HOURS_REACH and hour_off <= minute_off else "minute"
        self._turn_to(angle)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Turn the hand that is held."""
        if self._held:
            self._turn_to(self._polar(event)[0])

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802, ARG002 - Qt's name
        """Let the hand go."""
        self._held = None
        self.let_go.emit()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802, ARG002 - Qt's name
        """Draw our own dial, and a frame where the keys go to it."""
        side = min(self.width(), self.height())
        ratio = self.devicePixelRatioF()
        painter = QPainter(self)
        picture = image_of(dial_pixels(self.time, max(16, round((side - 8) * ratio))))
        picture.setDevicePixelRatio(ratio)
        left, top = (self.width() - side) // 2 + 4, (self.height() - side) // 2 + 4
        painter.drawImage(left, top, picture)
        if self.hasFocus():
            pen = painter.pen()
            pen.setColor(_FOCUS)
            pen.setWidth(3)
            painter.setPen(pen)
            painter.drawRect(self.rect().adjusted(2, 2, -3, -3))
        painter.end()

    def _polar(self, event: QMouseEvent) -> tuple[float, float]:
        x, y = event.position().x() - self.width() / 2, event.position().y() - self.height() / 2
        angle = math.degrees(math.atan2(x, -y)) % 360
        return angle, math.hypot(x, y) / (min(self.width(), self.height()) / 2)

    def _turn_to(self, angle: float) -> None:
        hour, minute = divmod(self._at, 60)
        if self._held == "hour":
            nearest = round((angle - minute / 2) / 30) % 12
            self._set(nearest * 60 + minute)
            return
        wanted = min(self._minutes, key=lambda each: _between(6.0 * each, angle))
        # Past twelve the short hand goes along, as on a real clock.
        hour += (minute > 44 and wanted < 16) - (minute < 16 and wanted > 44)
        self._set((hour * 60 + wanted) % 720)

    def _moved(self, value: int) -> None:
        """Go on to the next minute that may be shown, in the direction of a key or the wheel."""
        step = (value - self._at + 360) % 720 - 360
        if abs(step) < 60:
            places = sorted({60 * hour + minute for hour in range(12) for minute in self._minutes})
            if step > 0:
                value = next((each for each in places if each > self._at), places[0])
            else:
                value = next((each for each in reversed(places) if each < self._at), places[-1])
        self._set(value)

    def _set(self, at: int) -> None:
        if at == self._at:
            return
        self._at = at
        self.blockSignals(True)
        self.setValue(at)
        self.blockSignals(False)
        self.update()
        self.turned.emit(self.time)


class PictureList(QListWidget):
    """Pictures to pick from, by click or by Enter or Space."""

    picked = Signal(int)

    def __init__(self, size: int, *, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setViewMode(QListView.ViewMode.IconMode)
        self.setMovement(QListView.Movement.Static)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setIconSize(QSize(size, size))
        self.setWordWrap(True)
        self.setSpacing(4)
        self.itemClicked.connect(lambda item: self.picked.emit(self.row(item)))

    def event(self, event: QEvent) -> bool:
        """Pick by Enter or Space."""
        if event.type() == QEvent.Type.KeyPress:
            key = event.key()  # type: ignore[attr-defined]
            if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space) and self.currentRow() >= 0:
                self.picked.emit(self.currentRow())
                return True
        return super().event(event)


def _between(a: float, b: float) -> float:
    return abs((a - b + 180) % 360 - 180)


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
