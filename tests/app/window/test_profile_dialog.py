"""Editing a gauge that is kept under a name: its points in their unit, and what is not saved."""

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialogButtonBox, QPlainTextEdit, QWidget
from pytestqt.qtbot import QtBot

from app.charts.palette import PALETTES
from app.gauge.profiles import Profile, load_profile, save_profile
from app.window.profile_dialog import ProfileDialog
from app.window.theme import style_sheet
from sensors.calibration import Curve, Point
from tests.app.window.stretched import LOW_PX, long_words

SAVE = QDialogButtonBox.StandardButton.Save
HEAD = Curve("log-linear", (Point(2.0, 1.0), Point(3.0, 10.0)))


@pytest.fixture
def dialog(qtbot: QtBot) -> ProfileDialog:
    profile = Profile("cart", "tcp:10.0.0.2:4001?curve=head", "blue", {"head": HEAD})
    save_profile(profile)
    made = ProfileDialog(profile, "micron")
    qtbot.addWidget(made)
    made.show()
    return made


def points_of(dialog: ProfileDialog) -> list[list[float]]:
    lines = dialog.points.toPlainText().splitlines()
    return [[float(word) for word in line.split()] for line in lines]


def test_another_unit_writes_the_same_points_in_it(dialog: ProfileDialog) -> None:
    assert points_of(dialog)[0] == pytest.approx([2.0, 7.500617], rel=1e-6)  # 1 Pa in micron
    dialog.unit.setCurrentIndex(dialog.unit.findData("pa"))
    assert points_of(dialog) == [[2.0, 1.0], [3.0, 10.0]]
    dialog.buttons.button(SAVE).click()
    kept = load_profile("cart").curves["head"]
    assert [p.pressure_pa for p in kept.points] == pytest.approx([1.0, 10.0])


def test_points_that_were_typed_are_meant_in_the_unit_chosen_after(dialog: ProfileDialog) -> None:
    dialog.points.setPlainText("2, 5\n3, 50")
    dialog.unit.setCurrentIndex(dialog.unit.findData("pa"))
    dialog.buttons.button(SAVE).click()
    kept = load_profile("cart").curves["head"]
    assert [p.pressure_pa for p in kept.points] == [5.0, 50.0]


def test_points_are_written_and_read_as_the_user_writes_numbers(qtbot: QtBot) -> None:
    """1.000 is 1000 to a German, and 1,333 is no riddle to one."""
    before, profile = QLocale(), Profile("cart", "tcp:10.0.0.2:4001")
    QLocale.setDefault(QLocale("de_DE"))
    try:
        made = ProfileDialog(profile, "pa")
        qtbot.addWidget(made)
        made.kind.setCurrentIndex(made.kind.findData("linear"))
        made.points.setPlainText("2,5 10\n3,5 1.000")
        made.buttons.button(SAVE).click()
        assert "'3,5 1.000': expected" in made.trouble.text()
        made.points.setPlainText("2,5 1,333\n3,5 1000")
        made.buttons.button(SAVE).click()
        assert made.saved is not None
        again = ProfileDialog(made.saved, "pa")
        qtbot.addWidget(again)
        assert again.points.toPlainText() == "2,5  1,333\n3,5  1000"
        again.note.setText("blue")
        again.buttons.button(SAVE).click()
        assert again.saved is not None
        assert again.saved.curves == made.saved.curves
    finally:
        QLocale.setDefault(before)


def test_what_was_typed_is_let_go_only_when_asked_twice(dialog: ProfileDialog) -> None:
    dialog.points.setPlainText("2 5\n3 50")
    QTest.keyClick(dialog.points, Qt.Key.Key_Escape)
    assert dialog.isVisible()
    assert dialog.trouble.text().startswith("This is not saved.")
    assert points_of(dialog) == [[2.0, 5.0], [3.0, 50.0]]
    QTest.keyClick(dialog.points, Qt.Key.Key_Escape)
    assert not dialog.isVisible()
    assert [p.pressure_pa for p in load_profile("cart").curves["head"].points] == [1.0, 10.0]


def test_what_was_only_looked_at_closes_at_once(dialog: ProfileDialog) -> None:
    dialog.unit.setCurrentIndex(dialog.unit.findData("mbar"))
    QTest.keyClick(dialog.name, Qt.Key.Key_Escape)
    assert not dialog.isVisible()


def test_a_point_stays_on_its_line_in_longer_words(qtbot: QtBot) -> None:
    window = QWidget()
    window.setStyleSheet(style_sheet(PALETTES["dark"]))
    qtbot.addWidget(window)
    profile = Profile("cart", "tcp:10.0.0.2:4001?curve=head", "blue", {"head": HEAD})
    with long_words():
        made = ProfileDialog(profile, "micron", window)
    made.show()
    assert made.minimumSizeHint().width() <= LOW_PX[0]
    made.resize(*LOW_PX)
    assert made.points.lineWrapMode() == QPlainTextEdit.LineWrapMode.NoWrap
    needed = made.points.fontMetrics().horizontalAdvance("3  75.00615758")
    assert made.points.viewport().width() >= needed
    made.reject()
