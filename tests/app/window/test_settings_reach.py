"""The settings for gloves, for the keyboard, for a screen reader and for a low screen."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QLineEdit, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from app.charts.palette import PALETTES
from app.settings.values import Settings
from app.window.settings_dialog import PAGES, SettingsDialog
from app.window.theme import style_sheet
from tests.app.window.conftest import Desk
from tests.app.window.stretched import LOW_PX, long_words
from tests.app.window.test_reach import around


@pytest.fixture
def opened(desk: Desk, tmp_path: Path) -> Iterator[SettingsDialog]:
    dialog = SettingsDialog(Settings(), tmp_path / "settings.toml", parent=desk.window)
    dialog.show()
    yield dialog
    dialog.done(0)


@pytest.mark.parametrize("page", range(5))
def test_tab_comes_to_all_of_a_page_and_to_the_buttons(
    opened: SettingsDialog, qtbot: QtBot, page: int
) -> None:
    opened.tabs.setCurrentIndex(page)
    in_order = around(opened.tabs.tabBar(), qtbot)
    places = set(in_order)
    kinds = (QLineEdit, QAbstractButton, QComboBox)
    wanted = {
        place
        for kind in kinds
        for place in opened.findChildren(kind)
        if place.isVisible() and place.isEnabled()
    }
    assert places == wanted | {opened.tabs.tabBar()}
    body = opened.tabs.currentWidget()
    here = [place for place in in_order if body.isAncestorOf(place)]
    corners = [place.mapTo(opened, place.rect().center()) for place in here]
    assert [(at.y(), at.x()) for at in corners] == sorted((at.y(), at.x()) for at in corners)


def test_all_is_large_enough_and_named(opened: SettingsDialog) -> None:
    names = []
    for page in range(5):
        opened.tabs.setCurrentIndex(page)
        for kind in (QLineEdit, QAbstractButton, QComboBox):
            for place in opened.findChildren(kind):
                if place.isVisible():
                    assert place.height() >= 44, place.accessibleName()
                    said = QAccessible.queryAccessibleInterface(place)
                    names.append(said.text(QAccessible.Text.Name))
                if place.isVisible() and isinstance(place, QComboBox):
                    assert said.relations(QAccessible.RelationFlag.Label)
    assert "" not in names
    assert "Most it may rise in a hold: where it comes from" in names
    assert "Most it may rise in a hold: default, 100 micron" in names


@pytest.mark.parametrize("name", [*PAGES, "window"])
def test_longer_words_fit_a_low_screen(qtbot: QtBot, name: str, tmp_path: Path) -> None:
    window = QWidget()
    window.setStyleSheet(style_sheet(PALETTES["light"]))
    qtbot.addWidget(window)
    with long_words():
        place = tmp_path / "/".join(["a folder in a folder"] * 4)
        dialog = SettingsDialog(Settings(), place / "settings.toml", "Wrong.", parent=window)
    dialog.resize(*LOW_PX)
    dialog.show()
    at = [*PAGES, "window"].index(name)
    dialog.tabs.setCurrentIndex(at)
    for key in PAGES.get(name, ()):
        dialog.form.texts[key] = ""  # each row with its sentence
    dialog._on_edited()
    qtbot.wait(1)
    assert (dialog.width(), dialog.height()) == LOW_PX
    assert dialog.tabs.tabBar().sizeHint().width() <= dialog.tabs.width()
    area = dialog.tabs.widget(at)
    assert isinstance(area, QScrollArea)
    assert area.horizontalScrollBar().maximum() == 0
    for label in area.findChildren(QLabel):
        needed = label.heightForWidth(label.width()) if label.wordWrap() else 0
        assert label.height() >= needed, label.text()
        if not label.wordWrap():
            assert label.width() >= label.sizeHint().width(), label.text()
    for button in dialog.findChildren(QAbstractButton):
        if button.isVisible() and button.text():
            assert button.width() >= button.minimumSizeHint().width(), button.text()
    dialog.done(0)
