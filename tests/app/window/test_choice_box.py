"""Boxes to choose from, opened with a glove."""

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QScrollArea, QTabWidget, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.charts.palette import PALETTES
from app.gauge.check import GaugeCheck
from app.gauge.profiles import Profile
from app.window.check_dialog import CheckDialog
from app.window.choice_box import ChoiceBox
from app.window.job_form import JobForm
from app.window.profile_dialog import ProfileDialog
from app.window.sensor_dialog import SensorDialog
from app.window.technician import FIELDS
from app.window.theme import style_sheet
from tests.app.window.stretched import LOW_PX, long_words

GLOVE_PX = 44  # WCAG 2.2, 2.5.5


@pytest.fixture
def window(qtbot: QtBot) -> QWidget:
    made = QWidget()
    made.setStyleSheet(style_sheet(PALETTES["light"]))
    qtbot.addWidget(made)
    return made


def test_rows_are_for_gloves_and_those_further_on_have_a_bar(window: QWidget, qtbot: QtBot) -> None:
    dialog = SensorDialog("sim:wet", window)
    dialog.show()
    box = dialog.pages["sim"].findChildren(QComboBox)[0]
    box.showPopup()
    qtbot.waitUntil(box.view().isVisible)
    view = box.view()
    assert view.sizeHintForRow(0) >= GLOVE_PX
    popup, room = view.window().geometry(), box.screen().availableGeometry()
    assert room.contains(popup)
    assert box.count() * GLOVE_PX > popup.height()
    qtbot.waitUntil(view.verticalScrollBar().isVisible)
    box.hidePopup()
    dialog.reject()


def test_every_box_is_one(window: QWidget) -> None:
    profile = Profile("cart", "tcp:127.0.0.1:9")
    dialogs = [
        SensorDialog("", window),
        ProfileDialog(profile, "micron", window),
        CheckDialog(GaugeCheck("tcp:127.0.0.1:9"), "micron", window),
        JobForm(FIELDS, lambda *_: (), lambda _: "", parent=window),
    ]
    for dialog in dialogs:
        boxes = dialog.findChildren(QComboBox)
        assert boxes
        assert all(isinstance(box, ChoiceBox) for box in boxes)
        dialog.reject()


def test_long_choices_push_no_field_off_a_low_screen(window: QWidget, qtbot: QtBot) -> None:
    with long_words():
        form = JobForm(FIELDS, lambda *_: (), lambda _: "", parent=window)
    form.show()
    form.resize(*LOW_PX)
    [tabs] = form.findChildren(QTabWidget)
    for page in range(tabs.count()):
        tabs.setCurrentIndex(page)
        qtbot.wait(1)
        area = tabs.currentWidget()
        if isinstance(area, QScrollArea) and (inside := area.widget()) is not None:
            assert inside.width() <= area.viewport().width(), tabs.tabText(page)
    form.reject()


def test_scrolling_a_form_past_a_box_chooses_nothing(window: QWidget) -> None:
    form = JobForm(FIELDS, lambda *_: (), lambda _: "", parent=window)
    form.show()
    before, box = form.fields(), form.kind
    middle = QPointF(box.rect().center())
    turned = QWheelEvent(
        middle,
        box.mapToGlobal(middle),
        QPoint(),
        QPoint(0, -120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    box.event(turned)
    assert form.fields() == before
    assert not turned.isAccepted()  # the form takes it
    form.reject()


def test_the_open_list_is_as_wide_as_its_texts(window: QWidget, qtbot: QtBot) -> None:
    box, column = ChoiceBox(), QVBoxLayout(window)
    column.addWidget(box)
    box.addItems(["in", "rear unit, heat pump or long open, and all the rest of what it may be"])
    window.resize(200, 100)
    window.show()
    assert box.width() <= 200
    box.showPopup()
    view = box.view()
    qtbot.waitUntil(view.isVisible)
    assert view.viewport().width() >= view.sizeHintForColumn(0)
    box.hidePopup()
