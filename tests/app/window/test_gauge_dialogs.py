"""The dialogs of the gauge over a real serial line: a gauge process on a pseudo terminal."""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import serial
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.charts.palette import PALETTES
from app.gauge import check as gauge_check
from app.gauge.check import GaugeCheck
from app.gauge.listen_desk import ListenDesk
from app.gauge.profiles import Profile, load_profile, profile_names, save_profile
from app.window.check_dialog import CheckDialog
from app.window.kept_page import KeptPage
from app.window.listen_dialog import ListenDialog
from app.window.profile_dialog import ProfileDialog
from app.window.sensor_dialog import SensorDialog
from app.window.theme import style_sheet
from app.words.sentences import Words
from sensors.address import parse_address
from sensors.calibration import Curve, Point
from sensors.correction import correction_of
from tests.sensors.gauge_process import GaugeProcess, gauge_process

OK, SAVE = QDialogButtonBox.StandardButton.Ok, QDialogButtonBox.StandardButton.Save
HEAD = Curve("log-linear", (Point(2.0, 1.0), Point(3.0, 10.0)))
needs_pty = pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo terminals")


@pytest.fixture
def port(tmp_path: Path) -> Path:
    return tmp_path / "gauge"


@pytest.fixture
def gauge(port: Path) -> Iterator[GaugeProcess]:
    with gauge_process("tests.sensors.pty_feeder", port) as process:
        yield process


def saying(gauge: GaugeProcess, lines: bytes, until: Callable[[], object]) -> Callable[[], bool]:
    """Let the gauge go on saying this until something is so: a port opens when it opens."""

    def said() -> bool:
        gauge.write(lines)
        return bool(until())

    return said


def child(dialog: SensorDialog, kind: type[QDialog]) -> QDialog:
    return dialog.findChildren(kind)[-1]


@needs_pty
def test_an_unknown_gauge_is_listened_to_understood_and_kept(
    qtbot: QtBot, port: Path, gauge: GaugeProcess
) -> None:
    dialog = SensorDialog(f"serial:{port}?baud=9600")
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.listen.click()
    listen = child(dialog, ListenDialog)
    assert isinstance(listen, ListenDialog)
    number = 0

    def has_choices() -> bool:
        nonlocal number
        number += 1
        gauge.write(b"%d;7590%02d;21,5\r\n" % (number, number % 7))
        return listen.choices.count() > 1 and number > 4

    qtbot.waitUntil(has_choices, timeout=20_000)
    assert ";759003;21,5" in listen.lines.toPlainText()
    # The air outside in micron is recognised; the value stands there before it is taken.
    assert listen.address == f"serial:{port}?baud=9600&field=2&unit=micron"
    assert "now 759 " in listen.choices.item(0).text().replace("\u00a0", " ")
    # Another field is pointed at, and stays chosen while lines come.
    where = listen.choices.visualItemRect(listen.choices.item(1)).center()
    QTest.mouseClick(listen.choices.viewport(), Qt.MouseButton.LeftButton, pos=where)
    assert "field=3" in listen.address
    seen = listen.lines.toPlainText()
    more = saying(gauge, b"5;759000;21,5\r\n", lambda: listen.lines.toPlainText() != seen)
    qtbot.waitUntil(more, timeout=20_000)
    assert "field=3" in listen.address
    # Back with the keyboard, and kept under a name.
    listen.choices.setFocus()
    QTest.keyClick(listen.choices, Qt.Key.Key_Home)
    QTest.keyClicks(listen.name, "bench gauge")
    QTest.keyClick(listen.name, Qt.Key.Key_Return)
    assert listen.result() == 1
    assert dialog.address == "profile:bench gauge"
    assert dialog.choices["kept"].isChecked()
    assert dialog.buttons.button(OK).isEnabled()
    assert load_profile("bench gauge").address.endswith("field=2&unit=micron")


@needs_pty
def test_a_gauge_that_ends_no_line_is_not_called_silent(
    qtbot: QtBot, port: Path, gauge: GaugeProcess
) -> None:
    listen = ListenDialog(ListenDesk(f"serial:{port}", Words()))
    qtbot.addWidget(listen)
    qtbot.waitUntil(
        saying(gauge, b"523.1 ", lambda: "no line ends" in listen.trouble.text()), timeout=20_000
    )
    assert "523.1" in listen.lines.toPlainText()
    assert not listen.buttons.button(OK).isEnabled()
    listen.reject()


@needs_pty
def test_a_gauge_is_checked_on_its_line_and_put_right(
    qtbot: QtBot, port: Path, gauge: GaugeProcess, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gauge_check, "AVERAGE_S", 0.5)
    save_profile(Profile("cart", f"serial:{port}?unit=pa", "the blue one"))
    dialog = SensorDialog("profile:cart", unit="pa")
    qtbot.addWidget(dialog)
    dialog.check.click()
    check = child(dialog, CheckDialog)
    assert isinstance(check, CheckDialog)
    assert not check.save.isEnabled()
    low = check.rows["zero"]
    low.value.setText("2.0")
    enough = saying(gauge, b"3.6\n" * 4, low.take.isEnabled)
    qtbot.waitUntil(enough, timeout=20_000)
    assert "Reads 3.6 Pa" in check.now.text()
    low.take.click()
    assert "3.6 Pa: 1.6 Pa too high (80 %)" in low.read.text().replace("\u00a0", " ")
    high = check.rows["span"]
    high.value.setText("10")  # hPa
    rested = saying(gauge, b"802\n" * 20, lambda: "Reads 802 Pa" in check.now.text())
    qtbot.waitUntil(rested, timeout=20_000)
    high.take.click()
    assert "zero 2 Pa, gain 1.25" in check.outcome.text()
    check.save.click()
    assert check.result() == 1
    assert dialog.address == "profile:cart"
    kept = load_profile("cart")
    found = correction_of(parse_address(kept.address).options)
    assert found is not None
    assert (found.zero_pa, found.gain) == (2.0, 1.25)
    assert found.checked is not None
    assert kept.note == "the blue one"


@needs_pty
@pytest.mark.parametrize(("is_there", "said"), [(False, "There is no port"), (True, "is taken")])
def test_a_missing_and_a_taken_port_are_said_in_both_dialogs(
    qtbot: QtBot, port: Path, gauge: GaugeProcess, is_there: bool, said: str
) -> None:
    with serial.serial_for_url(str(port), exclusive=True):
        dialog = SensorDialog(f"serial:{port}{'' if is_there else '2'}")
        qtbot.addWidget(dialog)
        dialog.check.click()
        check = child(dialog, CheckDialog)
        assert isinstance(check, CheckDialog)
        qtbot.waitUntil(lambda: said in check.now.text(), timeout=20_000)
        check.reject()
        dialog.listen.click()
        listen = child(dialog, ListenDialog)
        assert isinstance(listen, ListenDialog)
        qtbot.waitUntil(lambda: said in listen.trouble.text(), timeout=20_000)
        listen.reject()


def test_kept_gauges_are_picked_edited_renamed_and_deleted(qtbot: QtBot, tmp_path: Path) -> None:
    save_profile(Profile("cart", "tcp:10.0.0.2:4001?curve=head", "blue", {"head": HEAD}))
    save_profile(Profile("bench", "tcp:10.0.0.3:4001?unit=mbar"))
    dialog = SensorDialog()
    qtbot.addWidget(dialog)
    page = dialog.pages["kept"]
    assert isinstance(page, KeptPage)
    assert dialog.choices["kept"].isChecked()
    assert not dialog.buttons.button(OK).isEnabled()
    page.kept.setCurrentRow(1)
    assert dialog.address == "profile:cart"
    assert dialog.buttons.button(OK).isEnabled()
    page.edit.click()
    edit = page.findChildren(ProfileDialog)[-1]
    assert edit.points.toPlainText().splitlines()[0].startswith("2  7.5006")  # 1 Pa in micron
    edit.name.setText("bench")
    edit.buttons.button(SAVE).click()
    assert "There is a profile 'bench' already" in edit.trouble.text()
    edit.name.setText("cart 2")
    edit.unit.setCurrentIndex(edit.unit.findData("pa"))
    edit.points.setPlainText("2,5  1\n3,5; 10\n")
    edit.day.setText("2030-01-31")
    edit.buttons.button(SAVE).click()
    assert edit.result() == 1
    assert profile_names() == ["bench", "cart 2"]
    assert dialog.address == "profile:cart 2"
    curve = load_profile("cart 2").curves["head"]
    assert curve.points == (Point(2.5, 1.0), Point(3.5, 10.0))
    assert str(curve.calibrated) == "2030-01-31"
    page.delete.click()
    assert profile_names() == ["bench", "cart 2"]  # it asks first
    page.delete.click()
    assert profile_names() == ["bench"]
    assert dialog.address == ""
    sent = tmp_path / "sent.toml"
    sent.write_text('version = 1\naddress = "sim:wet"\n')
    page.take(sent)
    assert "expected a gauge's address" in page.trouble.text()
    page.kept.setCurrentRow(0)
    assert page.trouble.text() == ""  # it was about another
    sent.write_text('version = 1\naddress = "tcp:a:1"\n')
    page.take(sent)
    assert dialog.address == "profile:sent"


def small_targets(dialog: QWidget) -> list[str]:
    """Give what a gloved finger would miss."""
    kinds = (QPushButton, QLineEdit, QComboBox)
    found = [widget for kind in kinds for widget in dialog.findChildren(kind)]
    seen = [w for w in found if w.isVisibleTo(dialog) and not isinstance(w.parent(), QComboBox)]
    assert seen
    return [f"{w.accessibleName()} {w.height()}" for w in seen if w.height() < 44]


def unnamed(dialog: QWidget) -> list[QWidget]:
    kinds = (QLineEdit, QComboBox)
    found = [widget for kind in kinds for widget in dialog.findChildren(kind)]
    return [w for w in found if w.isVisibleTo(dialog) and not w.accessibleName()]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_they_fit_a_low_screen_with_targets_for_gloves(qtbot: QtBot, theme: str) -> None:
    save_profile(Profile("cart", "tcp:127.0.0.1:9?curve=head", "blue", {"head": HEAD}))
    window = QWidget()
    qtbot.addWidget(window)
    window.setStyleSheet(style_sheet(PALETTES[theme]))
    sensor = SensorDialog("profile:cart", window)
    listen = ListenDialog(ListenDesk("tcp:127.0.0.1:9", Words()), window)
    edit = ProfileDialog(load_profile("cart"), "micron", window)
    check = CheckDialog(GaugeCheck("profile:cart"), "micron", window)
    for dialog in (sensor, listen, edit, check):
        dialog.show()
        dialog.resize(1000, 560)  # of 1024 x 600, the title bar left out
        for kind in list(sensor.choices) if dialog is sensor else [""]:
            if kind:
                sensor.choices[kind].click()
            assert dialog.minimumSizeHint().height() <= 560
            assert dialog.size().toTuple() == (1000, 560)
            assert small_targets(dialog) == []
            assert unnamed(dialog) == []
            bottom = dialog.buttons.mapTo(dialog, QPoint(0, dialog.buttons.height())).y()
            assert bottom <= 560
    sensor.reject()
    check.reject()
    listen.reject()
