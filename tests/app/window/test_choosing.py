"""Choosing the gauge with wrong input, and while ports come and go."""

from pathlib import Path

import pytest
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QDialogButtonBox, QWidget
from pytestqt.qtbot import QtBot

from app.charts.palette import PALETTES
from app.gauge.profiles import Profile
from app.window import sensor_pages
from app.window.profile_dialog import ProfileDialog
from app.window.sensor_dialog import SensorDialog
from app.window.sensor_pages import ReplayPage, SerialPage, TypedPage
from app.window.theme import style_sheet
from sensors.address import parse_address
from sensors.catalogue import FoundPort
from tests.app.window.stretched import LOW_PX, long_words

OK = QDialogButtonBox.StandardButton.Ok


@pytest.fixture
def ports(monkeypatch: pytest.MonkeyPatch) -> list[FoundPort]:
    found = [FoundPort(f"/dev/ttyUSB{n}", "", f"serial:/dev/ttyUSB{n}") for n in range(2)]
    monkeypatch.setattr(sensor_pages, "find_ports", lambda: found)
    return found


def serial_page(dialog: SensorDialog) -> SerialPage:
    page = dialog.pages["serial"]
    assert isinstance(page, SerialPage)
    return page


def test_looking_again_keeps_the_port_that_was_chosen(qtbot: QtBot, ports: list[FoundPort]) -> None:
    dialog = SensorDialog()
    qtbot.addWidget(dialog)
    page = serial_page(dialog)
    assert dialog.address == "serial:/dev/ttyUSB0?baud=9600"
    page.port.setCurrentIndex(1)
    page.look()
    assert dialog.address == "serial:/dev/ttyUSB1?baud=9600"
    del ports[1]
    page.look()
    assert dialog.address == ""  # and not the other one, which was not chosen
    assert not dialog.buttons.button(OK).isEnabled()
    assert page.port.placeholderText().startswith("none chosen")


@pytest.mark.usefixtures("ports")
@pytest.mark.parametrize("field", ["p&unit=pa", "50%", "a=b", "p%20x", "p?q"])
def test_a_fields_name_is_taken_as_it_is_typed(qtbot: QtBot, field: str) -> None:
    dialog = SensorDialog()
    qtbot.addWidget(dialog)
    serial_page(dialog).field.setText(field)
    options = parse_address(dialog.address).options
    assert dict(options) == {"baud": "9600", "field": field}


def test_what_cannot_be_opened_is_said_while_it_can_still_be_mended(
    qtbot: QtBot, tmp_path: Path
) -> None:
    missing = tmp_path / "run.csv"
    dialog = SensorDialog(f"replay:{missing}")
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.buttons.button(OK).click()
    assert dialog.isVisible()
    assert dialog._line.text() == f"Cannot read {missing}: there is no such file."
    typed, replay = dialog.pages["typed"], dialog.pages["replay"]
    assert isinstance(typed, TypedPage)
    assert isinstance(replay, ReplayPage)
    dialog.choices["typed"].click()
    typed.line.setText("sim:nowhere")
    dialog.buttons.button(OK).click()
    assert dialog.isVisible()
    assert "nowhere" in dialog._line.text()
    missing.write_text("time_s,pressure_pa\n0,1\n")
    dialog.choices["replay"].click()
    assert replay.path.text() == str(missing)
    dialog.buttons.button(OK).click()
    assert dialog.result() == 1


def test_words_two_fifths_longer_still_fit_a_low_screen(qtbot: QtBot) -> None:
    window = QWidget()
    window.setStyleSheet(style_sheet(PALETTES["light"]))
    qtbot.addWidget(window)
    with long_words():
        dialog = SensorDialog("", window, at_pump="tcp:127.0.0.1:9")
    for choice in dialog.choices.values():
        choice.click()
        least = dialog.minimumSizeHint()
        assert least.width() <= LOW_PX[0], choice.text()
        assert least.height() <= LOW_PX[1], choice.text()


def test_a_long_address_pushes_no_button_off_the_screen(qtbot: QtBot) -> None:
    dialog = SensorDialog("tcp:127.0.0.1:9")
    qtbot.addWidget(dialog)
    typed = dialog.pages["typed"]
    assert isinstance(typed, TypedPage)
    dialog.show()
    width = dialog.width()
    typed.line.setText(f"tcp:{'a' * 480}:4001")
    qtbot.wait(1)
    assert dialog.width() == width
    assert dialog._line.width() <= width


def test_the_first_gauges_own_fault_is_told_first(qtbot: QtBot) -> None:
    dialog = SensorDialog("tcp:127.0.0.1:9", at_pump="elsewhere")
    qtbot.addWidget(dialog)
    assert "'elsewhere'" in dialog._line.text()
    typed = dialog.pages["typed"]
    assert isinstance(typed, TypedPage)
    typed.line.setText("tcp:127.0.0.1:9?unit=bar")
    assert "unit=bar: expected one of" in dialog._line.text()


def test_a_reader_says_what_is_refused(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []

    def hear(event: QAccessibleAnnouncementEvent) -> None:
        said.append(event.message())

    monkeypatch.setattr(QAccessible, "updateAccessibility", hear)
    dialog = SensorDialog(f"replay:{tmp_path / 'run.csv'}")
    qtbot.addWidget(dialog)
    dialog.buttons.button(OK).click()
    assert said == [dialog._line.text()]
    edit = ProfileDialog(Profile("cart", "tcp:10.0.0.2:4001"), "pa")
    qtbot.addWidget(edit)
    edit.name.setText("../out")
    edit.buttons.button(QDialogButtonBox.StandardButton.Save).click()
    edit.reject()
    assert [text.split("'")[0] for text in said[1:]] == [
        "",
        "This is not saved. Cancel once more to let it go.",
    ]
    edit.reject()
