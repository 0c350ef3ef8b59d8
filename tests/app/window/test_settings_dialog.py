"""The settings by touch and keyboard: opened, refused, saved, let go, heeded."""

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QDialogButtonBox,
    QFileDialog,
    QLineEdit,
)
from pytestqt.qtbot import QtBot

from app.charts.palette import PALETTES
from app.settings.file import load_settings
from app.settings.job_rules import job_rules
from app.settings.values import LIMITS, Settings
from app.system.paths import settings_file
from app.window.settings_dialog import SettingsDialog
from tests.app.window.conftest import Desk
from tests.app.window.played import readings

SAVE, CANCEL = QDialogButtonBox.StandardButton.Save, QDialogButtonBox.StandardButton.Cancel


@pytest.fixture
def dialog(desk: Desk, qtbot: QtBot) -> Iterator[SettingsDialog]:
    """Opened by its key."""
    desk.window.activateWindow()
    qtbot.waitUntil(desk.window.isActiveWindow)
    QTest.keyClick(desk.window, Qt.Key.Key_Comma, Qt.KeyboardModifier.ControlModifier)
    [opened] = desk.window.findChildren(SettingsDialog)
    qtbot.waitUntil(opened.isActiveWindow)
    yield opened
    opened.done(0)


def line(dialog: SettingsDialog, name: str) -> QLineEdit:
    for at, page in enumerate(dialog.pages.values()):
        if name in page.lines():
            dialog.tabs.setCurrentIndex(at)
            return page.lines()[name][1]
    raise KeyError(name)


def told(dialog: SettingsDialog, name: str) -> str:
    [row] = [row for page in dialog.pages.values() for row in page.rows if name in row.lines]
    return row.told.text().replace("\u00a0", " ")


def write(dialog: SettingsDialog, name: str, text: str) -> None:
    field = line(dialog, name)
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)


def click(dialog: SettingsDialog, button: QDialogButtonBox.StandardButton = SAVE) -> None:
    QTest.mouseClick(dialog.buttons.button(button), Qt.MouseButton.LeftButton)


def in_file() -> dict[str, object]:
    return tomllib.loads(settings_file().read_text())


def test_a_makers_limit_is_saved_with_its_source(desk: Desk, dialog: SettingsDialog) -> None:
    write(dialog, "hold_rise", "60,5")
    write(dialog, "hold_rise.source", "maker's manual, page 7")
    write(dialog, "flat_min", "12.5")
    QTest.keyClick(line(dialog, "flat_min"), Qt.Key.Key_Return)
    assert not dialog.isVisible()
    saved = load_settings()
    assert saved == desk.window.settings.value
    assert (saved.hold_rise.source, saved.flat_min) == ("maker's manual, page 7", 12.5)
    limits = in_file()["limits"]
    assert isinstance(limits, dict)
    assert limits["hold_rise"]["pressure"] == "60.5 micron"
    assert desk.told == []


def test_what_is_wrong_is_said_at_the_field_and_nothing_is_saved(
    desk: Desk, dialog: SettingsDialog
) -> None:
    before, file = desk.window.settings.value, settings_file().read_bytes()
    write(dialog, "flat_min", "30")
    write(dialog, "hold_normal_min", "1,250")  # one and a quarter, or over a thousand
    assert told(dialog, "hold_normal_min").startswith("Expected a number from 2 to 1440")
    write(dialog, "hold_normal_min", "1")
    assert told(dialog, "hold_normal_min").startswith("Expected a number from 2 to 1440")
    assert dialog.tabs.tabText(1) == "Hold lengths (!)"
    dialog.tabs.setCurrentIndex(4)
    click(dialog)
    assert dialog.isVisible()
    assert dialog.tabs.currentIndex() == 1
    field = line(dialog, "hold_normal_min")
    assert QApplication.focusWidget() is field
    assert field.selectedText() == "1"
    assert field.accessibleDescription().startswith("Expected a number from 2")
    assert dialog.trouble.text() == "Not saved yet: Ordinary."
    assert desk.window.settings.value == before
    assert settings_file().read_bytes() == file
    QTest.keyClicks(field, "25")
    write(dialog, "hold_length_source", "shop")
    assert dialog.tabs.tabText(1) == "Hold lengths"
    assert not dialog.trouble.isVisible()
    click(dialog)
    assert (load_settings().hold_normal_min, load_settings().flat_min) == (25, 30)


def test_what_was_typed_is_let_go_only_when_asked_twice(desk: Desk, dialog: SettingsDialog) -> None:
    write(dialog, "circuit_c", "-4")
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert dialog.isVisible()
    assert "Cancel once more" in dialog.trouble.text()
    write(dialog, "circuit_c", "-5")
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert dialog.isVisible()  # asked anew: something else was typed
    click(dialog, CANCEL)
    assert not dialog.isVisible()
    assert desk.window.settings.value.circuit_c is None


def test_what_was_only_looked_at_closes_at_once(dialog: SettingsDialog) -> None:
    for page in range(5):
        dialog.tabs.setCurrentIndex(page)
    write(dialog, "circuit_c", "5")
    QTest.keyClick(line(dialog, "circuit_c"), Qt.Key.Key_Backspace)
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert not dialog.isVisible()


def test_return_on_a_button_presses_that_one(dialog: SettingsDialog) -> None:
    write(dialog, "hold_rise", "60")
    row = dialog.pages["limits"].rows[1]
    assert told(dialog, "hold_rise").startswith("Expected the source")
    row.back.setFocus()
    QTest.keyClick(row.back, Qt.Key.Key_Return)
    assert dialog.isVisible()
    assert row.lines["hold_rise"].text() == "100"
    assert not row.back.isEnabled()
    assert told(dialog, "hold_rise") == ""


def test_a_figure_that_is_no_default_names_the_default(dialog: SettingsDialog) -> None:
    write(dialog, "flat_min", "12")
    assert told(dialog, "flat_min").endswith("in this time. Default: 10 min.")
    [row] = [row for row in dialog.pages["circuit"].rows if "flat_min" in row.lines]
    assert row.back.accessibleName() == "Flat interval: default, 10 min"


def test_all_goes_back_at_a_second_touch_and_is_saved_by_save(
    desk: Desk, dialog: SettingsDialog
) -> None:
    write(dialog, "hold_rise", "sixty")
    write(dialog, "flat_min", "12")
    for _ in range(2):
        QTest.mouseClick(dialog.all_back, Qt.MouseButton.LeftButton)
    assert line(dialog, "flat_min").text() == "10"
    assert "Not saved yet" in dialog.trouble.text()
    assert not desk.window.settings.value.sound  # as it was: it is turned off in these tests
    click(dialog)
    assert desk.window.settings.value == Settings()


def test_another_unit_shows_the_limits_in_it(desk: Desk, dialog: SettingsDialog) -> None:
    box = dialog.window_page.unit
    box.setCurrentIndex(box.findData("mbar"))
    shown = {name: line(dialog, name).text() for name in LIMITS}
    assert shown["hold_rise"] == "0.133322"
    assert dialog.pages["limits"].rows[0].unit.text() == "mbar"
    click(dialog)
    assert desk.window.settings.value == Settings(unit="mbar", sound=False)
    assert desk.window.screen_now.unit == "mbar"


def test_window_settings_count_at_once_and_the_menu_shows_it(
    desk: Desk, dialog: SettingsDialog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(tmp_path))
    page = dialog.window_page
    page.theme.setCurrentIndex(page.theme.findData("dark"))
    page.sound.click()
    page.place.choose.click()
    assert desk.window.settings.value.theme == "system"  # not before Save
    click(dialog)
    value = desk.window.settings.value
    assert (value.theme, value.sound, value.backup_folder) == ("dark", True, tmp_path)
    assert desk.window.palette_now == PALETTES["dark"]
    ticked = {a.objectName() or a.data() for a in desk.window.view_menu.actions() if a.isChecked()}
    assert ticked == {"micron", "dark", "sound"}
    desk.window.settings.change(backup_folder=None)  # the played job has no file to copy


def test_an_open_job_is_told_the_limits_and_the_user_what_waits(
    desk: Desk, dialog: SettingsDialog
) -> None:
    desk.run.play(readings("clean", 60.0))
    desk.presenter.look()
    desk.run.told = job_rules(Settings())
    desk.session._settings = lambda: desk.window.settings.value
    write(dialog, "hold_rise", "60")
    write(dialog, "hold_rise.source", "manual")
    write(dialog, "flat_min", "30")
    click(dialog)
    assert desk.session.told.rules.hold.rise_source == "manual"
    assert desk.window.notice.text.text() == (
        "From the next hold on: Most it may rise in a hold. "
        "Not in this job while it is open: Flat interval."
    )


@pytest.fixture
def unreadable(tmp_path: Path) -> str:
    settings_file().parent.mkdir(parents=True, exist_ok=True)
    settings_file().write_text("unit = 'furlong'  # mine\n")
    return settings_file().read_text()


@pytest.mark.usefixtures("desk")
def test_a_file_that_cannot_be_used_is_told_and_set_aside(desk: Desk, unreadable: str) -> None:
    settings_file().write_text(unreadable)  # it was right when the window was opened
    desk.window.dialogs.settings(desk.window.settings, desk.window.change_settings)
    [dialog] = desk.window.findChildren(SettingsDialog)
    write(dialog, "flat_min", "12")
    assert "line 1: unit must be one of" in dialog.trouble.text()
    assert dialog.trouble.text().endswith("What you change is not kept.")
    QTest.mouseClick(dialog.mend, Qt.MouseButton.LeftButton)
    assert settings_file().read_text() == unreadable
    QTest.mouseClick(dialog.mend, Qt.MouseButton.LeftButton)
    assert not dialog.mend.isVisible()
    kept = settings_file().with_name("settings.toml.unreadable-1")
    assert kept.read_text() == unreadable
    assert str(kept) in dialog.trouble.text()
    click(dialog)
    assert load_settings().flat_min == 12


def test_a_change_that_is_not_kept_is_told(desk: Desk, unreadable: str) -> None:
    settings_file().write_text(unreadable)
    desk.window.dialogs.settings(desk.window.settings, desk.window.change_settings)
    [dialog] = desk.window.findChildren(SettingsDialog)
    write(dialog, "flat_min", "12")
    click(dialog)
    assert desk.window.settings.value.flat_min == 12
    assert [text.split(".")[0] for text in desk.told] == ["This change will not be kept"]
    assert not desk.window.notice.isVisible()  # what counts later does not cover it
    assert settings_file().read_text() == unreadable
