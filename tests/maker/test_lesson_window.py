"""The maker's window, drawn nowhere (Qt's offscreen platform)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, BinaryIO

import pytest

pytest.importorskip("PySide6.QtWidgets", reason="the extra `maker` is not installed", exc_type=ImportError)

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QListWidget,
    QWidget,
)

from caller.cli import main
from caller.clock import ClockTime
from caller.lesson.library import read_lesson, ready_lessons
from caller.maker.application import ClassWindow
from caller.maker.controls import SwitchRow, dial_pixels, icon_of
from caller.maker.lesson_window import MakerWindow
from caller.maker.process import PACE_S
from caller.planning.classfile import read_class

if TYPE_CHECKING:
    from caller.maker.workshop import Workshop

OWN = """\
title = "Quarters"
step = "quarters"
[[round]]
time = "7:30"
[[round]]
time = "4:45"
"""
CONTROLS = (QAbstractButton, QLineEdit, QComboBox, QListWidget)


@pytest.fixture(scope="module")
def application() -> Iterator[QApplication]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("QT_QPA_PLATFORM", "offscreen")
        made = QApplication.instance() or QApplication(["maker"])
        assert isinstance(made, QApplication)
        yield made


@pytest.fixture
def window(
    application: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[MakerWindow]:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr("caller.maker.workshop.Workshop.advise", lambda self: None)
    monkeypatch.setattr(MakerWindow, "_show_advice", lambda self, advice: None)
    script = tmp_path / "quarters.toml"
    script.write_text(OWN, encoding="utf-8")
    made = MakerWindow(script, "en-GB")
    made.show()
    yield made
    made.close()


def times(workshop: Workshop) -> list[str]:
    return [str(each.time) for each in workshop.lesson.rounds]


def at(dial: QWidget, x: float, y: float) -> QPoint:
    """Return a point of the dial: from its middle, in radii, to the right and down."""
    radius = min(dial.width(), dial.height()) / 2
    return QPoint(round(dial.width() / 2 + x * radius), round(dial.height() / 2 + y * radius))


def test_every_control_has_a_name_that_a_screen_reader_says(window: MakerWindow) -> None:
    unnamed = []
    for control in window.findChildren(QWidget):
        inner = control.objectName().startswith("qt_") or isinstance(control.parent(), QComboBox)
        if isinstance(control, CONTROLS) and control.isVisibleTo(window) and not inner:
            said = QAccessible.queryAccessibleInterface(control)
            if not said.text(QAccessible.Text.Name):
                unnamed.append(control)
    assert unnamed == []


def test_the_dial_has_a_value_and_a_name_with_the_time(window: MakerWindow) -> None:
    said = QAccessible.queryAccessibleInterface(window._dial)
    assert said.valueInterface().currentValue() == 7 * 60 + 30
    assert said.text(QAccessible.Text.Name) == "Clock, 7:30, half past seven"


def test_the_hands_are_turned_by_mouse_and_keys_to_times_of_the_step(window: MakerWindow) -> None:
    dial = window._dial
    QTest.mousePress(dial, Qt.MouseButton.LeftButton, pos=at(dial, 0.0, 0.8))
    QTest.mouseMove(dial, at(dial, -0.55, 0.55))
    QTest.mouseMove(dial, at(dial, -0.8, 0.05))
    QTest.mouseRelease(dial, Qt.MouseButton.LeftButton, pos=at(dial, -0.8, 0.05))
    assert times(window.workshop)[0] == "7:45"
    QTest.mousePress(dial, Qt.MouseButton.LeftButton, pos=at(dial, -0.8, 0.0))
    QTest.mouseMove(dial, at(dial, 0.1, -0.8))
    QTest.mouseRelease(dial, Qt.MouseButton.LeftButton, pos=at(dial, 0.1, -0.8))
    assert times(window.workshop)[0] == "8:00"  # past twelve the short hand goes along
    QTest.keyClick(dial, Qt.Key.Key_Up)
    assert times(window.workshop)[0] == "8:15"
    QTest.keyClick(dial, Qt.Key.Key_PageUp)
    assert times(window.workshop)[0] == "9:15"
    window._undo()
    assert times(window.workshop)[0] != "9:15"


def test_a_frame_is_drawn_on_a_picture_of_its_own(application: QApplication) -> None:
    pixels = dial_pixels(ClockTime(3, 15), 40)
    before = pixels.copy()
    assert not icon_of(pixels, framed=True).isNull()
    assert (pixels == before).all()


def test_a_typed_time_is_taken_and_a_wrong_one_told(window: MakerWindow) -> None:
    window._time.setFocus()
    window._time.selectAll()
    QTest.keyClicks(window._time, "3:15")
    QTest.keyClick(window._time, Qt.Key.Key_Return)
    assert times(window.workshop)[0] == "3:15"
    window._time.selectAll()
    QTest.keyClicks(window._time, "13:99")
    QTest.keyClick(window._time, Qt.Key.Key_Return)
    assert times(window.workshop)[0] == "3:15"
    assert window._told.text()


def test_rounds_are_added_moved_and_taken_out(window: MakerWindow) -> None:
    window._add()
    assert len(times(window.workshop)) == 3
    before = times(window.workshop)
    assert window._index == 1
    window._up()
    assert times(window.workshop) == [before[1], before[0], before[2]]
    window._rounds.insertItem(2, window._rounds.takeItem(0))  # as a drop leaves the list
    window._dropped()
    assert times(window.workshop) == [before[0], before[2], before[1]]
    window._remove()
    assert len(times(window.workshop)) == 2


def test_an_unfit_move_says_why_and_is_not_taken(window: MakerWindow) -> None:
    unfit = next(row for row, offer in enumerate(window._moves) if offer.reason)
    before = window.workshop.text
    window._pick_move(unfit)
    assert window.workshop.text == before
    assert window._told.text() == window._moves[unfit].reason
    window._pick_move(1)
    assert window.workshop.text != before


@pytest.mark.parametrize("code", ["de", "en-US", "es", "fr"])
@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080)])
def test_nothing_is_cut_in_any_language(
    application: QApplication, window: MakerWindow, code: str, size: tuple[int, int]
) -> None:
    other = MakerWindow(ready_lessons()["demo"], code)
    other.resize(*size)
    other.show()
    application.processEvents()
    assert (other.width(), other.height()) == size  # it asks for no more room than there is
    for control in other.findChildren(QAbstractButton):
        if control.isVisible() and control.text():
            assert control.width() >= control.fontMetrics().horizontalAdvance(control.text()), control.text()
    for label in other.findChildren(QLabel):
        if label.isVisible() and not label.wordWrap():
            text = label.text().replace("&", "")  # it marks the letter that Alt goes with
            assert label.width() >= label.fontMetrics().horizontalAdvance(text), text
    other.close()


def test_an_own_lesson_is_made_saved_and_passes_check(window: MakerWindow, tmp_path: Path) -> None:
    window._title.setText("Terns on Tuesday")
    window._title.editingFinished.emit()
    window._minutes.setValue(0)
    for _ in range(6):
        window._add()
    window._pick_wrong(0)
    window._pick_move(0)
    target = tmp_path / "own.toml"
    window._save_to(target)
    assert read_lesson(target).title == "Terns on Tuesday"
    assert len(read_lesson(target).rounds) == 8
    assert main(["check", str(target)]) == 0


def test_a_class_is_made_in_a_form_whose_every_field_has_a_name(
    application: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    form = ClassWindow("", "en-GB")
    form.show()
    application.processEvents()
    for control in form.findChildren(QWidget):
        if isinstance(control, (QLineEdit, QComboBox)) and control.parent() is form:
            assert control.accessibleName()
    form._save()
    assert form.isVisible()  # a class needs a name, and is told so
    assert "name" in form._told.text()
    form._name.setText("Razorbills")
    form._save()
    assert not form.isVisible()
    assert read_class(form.place).name == "Razorbills"
    form.close()


class OneButton:
    """A person with one button, who waits for the frame and presses."""

    def __init__(self, window: MakerWindow) -> None:
        row = window.findChild(SwitchRow)
        assert row is not None
        self.row = row
        self.waited = self.presses = 0

    def press(self, text: str) -> None:
        assert text in [button.text() for button in self.row.buttons]
        while self.row.buttons[self.row.at].text() != text:
            self.row.go_on()
            self.waited += 1
        button = self.row.buttons[self.row.at]
        button._pressed_s = -1.0  # type: ignore[attr-defined]  # this hand is quicker than any, and does not tremble
        QTest.keyClick(button, Qt.Key.Key_Space)
        self.presses += 1


def test_with_one_button_alone_eight_clocks_are_made_turned_saved_and_led(
    application: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr("caller.maker.workshop.Workshop.advise", lambda self: None)
    monkeypatch.setattr(MakerWindow, "_show_advice", lambda self, advice: None)
    monkeypatch.setattr(SwitchRow, "isActiveWindow", lambda self: True)
    window = MakerWindow(None, "en-GB", pace_s=PACE_S)
    window.resize(1366, 768)
    window.show()
    application.processEvents()
    assert (window.width(), window.height()) == (1366, 768)
    hand = OneButton(window)
    hand.press("Short hand on")
    hand.press("Long hand on")
    assert times(window.workshop) == ["5:00"]  # from 4:45, where a new lesson begins
    for _ in range(7):
        hand.press("Add a clock")
        hand.press("Short hand on")
    assert len(set(times(window.workshop))) > 5
    hand.press("Save")
    saved = tmp_path / "hall-caller" / "lessons" / "our-lesson.toml"
    assert len(read_lesson(saved).rounds) == 8
    led: list[list[str]] = []

    def start(command: list[str], *, stderr: BinaryIO, **_how: object) -> SimpleNamespace:
        led.append(command)
        stderr.write(b"pygame\nThis computer has no display.\n")
        return SimpleNamespace(poll=lambda: 1, returncode=1)

    monkeypatch.setattr("subprocess.Popen", start)
    hand.press("Try the whole lesson")
    assert {"--one-button", "--try-out"} < set(led[0])
    window._looks.timeout.emit()
    assert window._told.text() == "This computer has no display."
    # Each press comes within a pace of the frame's, and the frame stays for one more.
    assert (hand.waited + hand.presses) * PACE_S < 5 * 60
    hand.press("Close")
    assert not window.isVisible()


def test_a_hand_that_trembles_presses_once(window: MakerWindow) -> None:
    pressed: list[int] = []
    row = SwitchRow([("Add", lambda: pressed.append(1))], name="One button")
    for _ in range(3):
        QTest.keyClick(row.buttons[0], Qt.Key.Key_Space)
    assert pressed == [1]
    row.close()


@pytest.mark.parametrize("code", ["de", "en-US", "es", "fr"])
def test_the_row_for_one_button_is_cut_in_no_language(
    application: QApplication, window: MakerWindow, code: str
) -> None:
    other = MakerWindow(ready_lessons()["demo"], code, pace_s=PACE_S)
    other.resize(1366, 768)
    other.show()
    application.processEvents()
    assert (other.width(), other.height()) == (1366, 768)
    row = other.findChild(SwitchRow)
    assert row is not None
    for button in row.buttons:
        assert button.accessibleName()
        assert button.width() >= button.fontMetrics().horizontalAdvance(button.text()), button.text()
    other.close()
