"""Controls of the maker that Qt does not have: a dial whose hands are turned, and lists of pictures."""

from __future__ import annotations

import math
from typing import Final, Literal

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QImage, QMouseEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QAbstractItemView, QDial, QListView, QListWidget, QWidget

from caller.clock.hands import hands
from caller.clock.times import ClockTime
from caller.maker.pictures import Pixels, dial_pixels

_HOURS_REACH: Final = 0.56  # of the radius: who takes hold further out means the long hand
_FOCUS: Final = QColor(11, 94, 145)


def image_of(pixels: Pixels) -> QImage:
    """Return pixels as Qt's picture, without a copy: keep them as long as it, and draw nothing on it."""
    height, width = pixels.shape[:2]
    return QImage(pixels.data, width, height, 4 * width, QImage.Format.Format_ARGB32_Premultiplied)


def icon_of(pixels: Pixels, *, framed: bool = False) -> QIcon:
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
