"""The gauge's check as it is typed: wrong numbers, changed ones, Return in the middle of it."""

import math
from collections.abc import Callable, Iterator
from typing import Protocol

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.gauge.check import GaugeCheck
from app.window.check_dialog import CheckDialog
from app.window.known_pressure import KnownPressure
from sensors.events import Reading
from sensors.units import PA_PER_UNIT


class Opened(Protocol):
    """Opens the dialog with the gauge at a pressure."""

    def __call__(self, pressure_pa: float, unit: str = "pa") -> CheckDialog:
        """Give it."""


@pytest.fixture
def opened(qtbot: QtBot) -> Iterator[Opened]:
    dialogs: list[CheckDialog] = []

    def at(pressure_pa: float, unit: str = "pa") -> CheckDialog:
        check = GaugeCheck("tcp:127.0.0.1:9?unit=pa")
        dialog = CheckDialog(check, unit)
        dialogs.append(dialog)
        qtbot.addWidget(dialog)
        dialog._link.close()  # what it reads is told here
        dialog.show()
        read(dialog, pressure_pa)
        return dialog

    yield at
    for dialog in dialogs:
        dialog.done(0)


def read(dialog: CheckDialog, pressure_pa: float, from_s: float = 0.0) -> None:
    for number in range(60):
        dialog._check.hear(Reading(from_s + 0.1 * number, pressure_pa))
    dialog.look()


def enter(row: KnownPressure, text: str) -> None:
    row.value.clear()
    QTest.keyClicks(row.value, text)
    QTest.keyClick(row.value, Qt.Key.Key_Return)


def test_return_takes_the_value_it_stands_in_and_saves_nothing(opened: Opened) -> None:
    dialog = opened(3.6)
    low, high = dialog.rows["zero"], dialog.rows["span"]
    enter(low, "2")
    assert low.read.text().startswith("read 3.6")
    read(dialog, 802.0, from_s=10.0)
    enter(high, "10")
    assert dialog.isVisible()  # it was closed here, with the low end alone put right
    assert "zero 2 Pa, gain 1.25" in dialog.outcome.text()


@pytest.mark.parametrize("text", ["abc", "-3", "20 Pa", "inf", "nan", "1e99", "9 8"])
def test_what_is_no_pressure_says_what_was_expected(opened: Opened, text: str) -> None:
    dialog = opened(3.6)
    low = dialog.rows["zero"]
    enter(low, text)
    expected = "Expected a number from 0 to 10\u00a0000\u00a0000 Pa, no mark for thousands."
    assert low.read.text() == expected
    assert not low.take.isEnabled()
    assert dialog.outcome.text() == ""
    enter(low, "2,5")
    assert "1.1\u00a0Pa too high" in low.read.text()


def test_what_was_taken_holds_for_the_value_it_was_taken_at(opened: Opened) -> None:
    dialog = opened(3.6)
    low = dialog.rows["zero"]
    enter(low, "2")
    assert dialog.save.isEnabled()
    changes: list[Callable[[], None]] = [
        lambda: low.value.setText("1"),
        lambda: low.unit.setCurrentIndex(1),
    ]
    for change in changes:
        change()
        assert low.read.text() == "Changed: take it again."
        assert dialog.outcome.text() == ""
        assert not dialog.save.isEnabled()
        low.take.click()
        assert dialog.save.isEnabled()
    low.value.clear()
    assert dialog._check.checks == {}


def test_only_what_can_be_put_right_can_be_saved(opened: Opened) -> None:
    dialog = opened(101_325.0)
    enter(dialog.rows["zero"], "0")
    assert "more than a drift" in dialog.outcome.text()
    assert not dialog.save.isEnabled()
    assert "%" not in dialog.rows["zero"].read.text()


def test_what_puts_it_right_is_told_in_the_units_of_the_window(opened: Opened) -> None:
    dialog = opened(100 * PA_PER_UNIT["micron"], "micron")
    enter(dialog.rows["zero"], "80")
    assert dialog.outcome.text() == "From now on: zero 20 micron, gain 1."


def test_a_gauge_that_is_right_is_told_so(opened: Opened) -> None:
    dialog = opened(2.0)
    enter(dialog.rows["zero"], "2")
    assert dialog.rows["zero"].read.text() == "read 2\u00a0Pa: right"
    assert math.isclose(dialog._check.checks["zero"].error_pa, 0.0)


def test_what_was_taken_is_let_go_only_when_asked_twice(opened: Opened) -> None:
    dialog = opened(3.6)
    enter(dialog.rows["zero"], "2")
    QTest.keyClick(dialog.rows["zero"].value, Qt.Key.Key_Escape)
    assert dialog.isVisible()
    assert dialog.trouble.text().startswith("This is not saved.")
    dialog.look()  # a quarter of a second later it still stands there
    assert dialog.trouble.text().startswith("This is not saved.")
    QTest.keyClick(dialog.rows["zero"].value, Qt.Key.Key_Escape)
    assert not dialog.isVisible()


def test_nothing_taken_closes_at_once(opened: Opened) -> None:
    dialog = opened(3.6)
    dialog.rows["zero"].value.setText("2")
    dialog.reject()
    assert not dialog.isVisible()
