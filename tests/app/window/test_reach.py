"""The window for gloves, for the keyboard, for a screen reader and for eyes that see no hue."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QCheckBox,
    QComboBox,
    QFormLayout,
    QLineEdit,
    QListWidget,
    QScrollArea,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)
from pytestqt.qtbot import QtBot

from analysis.reason import Reason
from app.charts.palette import PALETTES
from app.screen.shown import Passage
from app.window.blank_off_dialog import BlankOffDialog
from app.window.buttons import TouchButton
from app.window.job_form import JobForm
from app.window.pressure_dialog import PressureDialog
from app.window.sensor_dialog import SensorDialog
from app.window.technician import FIELDS
from app.window.theme import TOUCH_PX, style_sheet
from tests.app.charts.test_palette import contrast
from tests.app.window.conftest import Desk
from tests.app.window.played import readings


def job_form(parent: QWidget) -> JobForm:
    cautions = (Passage("Always", ("Gloves.",)),)
    return JobForm(FIELDS, lambda *_: cautions, lambda _: "", parent=parent)


def flat(desk: Desk) -> None:
    desk.run.play(readings("clean", 60.0))
    desk.presenter.look()
    desk.run.show_once(stage="flat", stage_reason=Reason("rate-below-one"))
    desk.presenter.look()
    assert desk.window.banner.isVisible()


def around(start: QWidget, qtbot: QtBot) -> list[QWidget]:
    """Press Tab until the keyboard is back where it was."""
    start.window().activateWindow()
    qtbot.waitUntil(start.window().isActiveWindow)
    start.setFocus()
    places = [start]
    while len(places) < 60:
        QTest.keyClick(places[-1], Qt.Key.Key_Tab)
        here = QApplication.focusWidget()
        assert here is not places[-1], f"Tab never leaves {type(here).__name__}"
        if here is None or here in places:
            return places
        places.append(here)
    pytest.fail("Tab never comes round")


def test_return_presses_what_has_the_keyboard(desk: Desk, qtbot: QtBot) -> None:
    flat(desk)
    banner = desk.window.banner
    banner.hold.setFocus()
    QTest.keyClick(banner.hold, Qt.Key.Key_Return)
    assert desk.window.screen_now.hold.page == "close-valve"  # it was only "seen" before


def test_tab_stays_on_the_banner(desk: Desk, qtbot: QtBot) -> None:
    flat(desk)
    banner = desk.window.banner
    assert set(around(banner.seen, qtbot)) == {banner.seen, banner.hold}
    QTest.keyClick(banner.hold, Qt.Key.Key_Return)
    assert QApplication.focusWidget() not in (banner, banner.seen, banner.hold)


def test_tab_leaves_the_list_of_joints_and_comes_to_each_state(desk: Desk, qtbot: QtBot) -> None:
    form = job_form(desk.window)
    form.show()
    [tabs] = form.findChildren(QTabWidget)
    tabs.setCurrentIndex(1)
    places = around(tabs.tabBar(), qtbot)
    states = [place for place in places if isinstance(place, QComboBox)]
    table = form.joints.table
    assert states == [table.cellWidget(row, 2) for row in range(table.rowCount())]
    assert places.index(table) < places.index(states[0])
    form.close()


def test_keys_begin_at_the_way_that_was_chosen_last(desk: Desk, qtbot: QtBot) -> None:
    dialog = SensorDialog("sim:demo?speed=70", desk.window)
    dialog.show()
    qtbot.waitUntil(lambda: dialog.choices["sim"].hasFocus())
    dialog.close()


def test_every_choice_is_named_for_a_reader(desk: Desk) -> None:
    """On Linux a combo box is known by the label beside it: its own name is what is chosen."""
    form = job_form(desk.window)
    dialogs = (form, SensorDialog("", desk.window), PressureDialog(Passage("", ()), lambda _: ()))
    for dialog in dialogs:
        fields = [field for f in dialog.findChildren(QFormLayout) for field in labelled(f)]
        assert fields
        for field in fields:
            said = QAccessible.queryAccessibleInterface(field)
            label = QAccessible.RelationFlag.Label
            assert said.relations(label), type(field).__name__
        dialog.close()
    state = form.joints.table.cellWidget(1, 2)
    assert state.accessibleDescription() == "State of joint 2"


def labelled(form: QFormLayout) -> list[QWidget]:
    roles = (QFormLayout.ItemRole.LabelRole, QFormLayout.ItemRole.FieldRole)
    found: list[QWidget] = []
    for row in range(form.rowCount()):
        label, field = (form.itemAt(row, role) for role in roles)
        widget = field.widget() if field is not None else None
        if label is not None and label.widget() and isinstance(widget, QComboBox | QLineEdit):
            found.append(widget)
    return found


def test_passages_are_read_out_whole_and_skipped_when_empty(desk: Desk) -> None:
    form = job_form(desk.window)
    assert form._cautions.accessibleName() == "Always"
    assert form._cautions.accessibleDescription() == "Always. Gloves."
    dialog = BlankOffDialog(lambda: None, desk.window)
    dialog.show_screen(desk.window.screen_now)
    assert dialog.shows.focusPolicy() == Qt.FocusPolicy.NoFocus
    form.close()
    dialog.close()


@pytest.mark.parametrize("theme", list(PALETTES))
@pytest.mark.parametrize("kind", ["plain", "main", "line", "choice", "tick", "list", "area"])
def test_the_keyboards_place_is_seen_without_its_hue(qtbot: QtBot, theme: str, kind: str) -> None:
    """A ring two pixels wide all round that changes by 3 to 1 (WCAG 2.2, 2.4.13)."""
    kinds: dict[str, Callable[[], QWidget]] = {
        "plain": lambda: TouchButton("Why?", lambda: None),
        "main": lambda: TouchButton("Hold now", lambda: None, is_main=True),
        "line": QLineEdit,
        "choice": QComboBox,
        "tick": lambda: QCheckBox("Map the rig"),
        "list": QListWidget,
        "area": QScrollArea,
    }
    place = kinds[kind]()
    host = QWidget()
    host.setStyleSheet(style_sheet(PALETTES[theme]))
    column, other = QVBoxLayout(host), QLineEdit()
    column.addWidget(place)
    column.addWidget(other)
    qtbot.addWidget(host)
    host.resize(300, 200)
    host.show()
    host.activateWindow()
    qtbot.waitUntil(host.isActiveWindow)
    other.setFocus()
    before, size = place.grab().toImage(), place.size()
    place.setFocus()
    after = place.grab().toImage()
    assert place.size() == size
    changed = sum(
        contrast(before.pixelColor(x, y).name(), after.pixelColor(x, y).name()) >= 3.0
        for x in range(size.width())
        for y in range(size.height())
    )
    assert changed >= 0.9 * 2 * 2 * (size.width() + size.height() - 4)


def test_a_reader_says_what_changed_and_not_each_figure(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []

    def hear(event: QAccessibleAnnouncementEvent) -> None:
        said.append(event.message())

    monkeypatch.setattr(QAccessible, "updateAccessibility", hear)
    desk.run.play(readings("clean", 10.0))
    desk.presenter.look()
    assert [text.split(",")[0] for text in said] == ["Pulling down"]
    desk.run.play(readings("clean", 20.0, 10.0))
    desk.presenter.look()
    assert len(said) == 1
    desk.run.show_once(stage="flat", stage_reason=Reason("rate-below-one"))
    desk.presenter.look()
    assert said[1].startswith("Flat.")
    desk.window.tell("The report is made.")
    assert said[2:] == ["The report is made."]


def test_every_button_is_large_enough_and_named(desk: Desk) -> None:
    desk.run.play(readings("clean", 10.0))
    desk.presenter.look()
    buttons = [b for b in desk.window.findChildren(QAbstractButton) if b.isVisible()]
    small = [b.text() for b in buttons if b.height() < 44 and b.objectName() != "qt_toolbar"]
    assert len(buttons) > 10
    assert small == []
    assert [b for b in buttons if not (b.accessibleName() or b.text())] == []
    assert TOUCH_PX >= 44


def test_the_rows_of_a_list_are_large_enough(desk: Desk) -> None:
    rows = QListWidget(desk.window)
    rows.addItems(["serial:/dev/ttyUSB0", "serial:/dev/ttyUSB1"])
    rows.show()
    assert rows.visualItemRect(rows.item(0)).height() >= 44


def test_the_rows_of_the_menus_are_large_enough(desk: Desk) -> None:
    for menu in (desk.window.job_menu, desk.window.view_menu):
        menu.ensurePolished()
        rows = [menu.actionGeometry(a).height() for a in menu.actions() if not a.isSeparator()]
        assert min(rows) >= 44
