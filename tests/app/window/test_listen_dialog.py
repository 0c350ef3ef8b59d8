"""Listening to a gauge in its dialog: the lines, the ways to read them, the choice."""

import asyncio
from collections.abc import Callable
from pathlib import Path
from queue import SimpleQueue

import pytest
from PySide6.QtWidgets import QDialogButtonBox
from pytestqt.qtbot import QtBot

from app.gauge.listen_desk import ListenDesk
from app.gauge.profiles import Profile, load_profile, save_profile
from app.system.errors import UsageError
from app.window.listen_dialog import ListenDialog
from app.window.sensor_dialog import SensorDialog
from app.words.sentences import Words
from sensors.events import Lost, Rejected, SensorEvent

LINES = (b"1;759100;21,5", b"2;759200;21,5", b"3;759200;21,6")


class Told:
    """A gauge that says what it is given, and then nothing more."""

    name = "serial:COM3"

    def __init__(self, events: list[SensorEvent]) -> None:
        self._events = events

    async def run(self, emit: Callable[[SensorEvent], None]) -> None:
        for event in self._events:
            emit(event)


def opened(qtbot: QtBot, events: list[SensorEvent]) -> ListenDialog:
    dialog = ListenDialog(ListenDesk("serial:COM3", Words(), opener=lambda _: Told(events)))
    qtbot.addWidget(dialog)
    return dialog


def test_the_likeliest_way_is_chosen_and_kept_under_a_name(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("SIMMERDOWN_HOME", str(tmp_path))
    dialog = opened(qtbot, [Rejected(float(n), raw, "heard") for n, raw in enumerate(LINES)])
    qtbot.waitUntil(lambda: dialog.choices.count() > 0)
    assert "2;759200;21,5" in dialog.lines.toPlainText()
    assert dialog.address == "serial:COM3?field=2&unit=micron"
    assert "the air outside" in dialog.choices.item(0).text()
    ok = dialog.buttons.button(QDialogButtonBox.StandardButton.Ok)
    dialog.name.setText("../out")
    ok.click()
    assert "cannot be a profile's name" in dialog.trouble.text()
    dialog.look()  # a quarter of a second later it still stands there
    assert "cannot be a profile's name" in dialog.trouble.text()
    save_profile(Profile("Cart", "tcp:10.0.0.2:4001"))
    dialog.name.setText("cart")
    assert dialog.trouble.text() == ""
    ok.click()
    assert "There is a profile 'Cart' already" in dialog.trouble.text()
    assert load_profile("Cart").address == "tcp:10.0.0.2:4001"
    dialog.name.setText("bench gauge")
    ok.click()
    assert dialog.result() == 1
    assert load_profile("bench gauge").address == dialog.address


class Feeding:
    """A gauge that says what it is told to say."""

    name = "serial:COM3"

    def __init__(self) -> None:
        self.said: SimpleQueue[bytes] = SimpleQueue()

    async def run(self, emit: Callable[[SensorEvent], None]) -> None:
        while True:
            if self.said.empty():
                await asyncio.sleep(0.01)
            else:
                emit(Rejected(0.0, self.said.get(), "heard"))


def test_what_is_read_stays_under_the_eye_while_lines_come(qtbot: QtBot) -> None:
    gauge = Feeding()
    dialog = ListenDialog(ListenDesk("serial:COM3", Words(), opener=lambda _: gauge))
    qtbot.addWidget(dialog)
    dialog.show()

    def say(number: int) -> None:
        gauge.said.put(b"%d;75%d000;21,5;%d" % (number, number % 9, number % 7))

    def heard(number: int) -> bool:
        dialog.look()
        return f"{number};75{number % 9}000;" in dialog._desk.hear().lines[-1]

    for number in range(40):
        say(number)
    qtbot.waitUntil(lambda: dialog.choices.count() > 2 and heard(39))
    bar, choices = dialog.lines.verticalScrollBar(), dialog.choices.verticalScrollBar()
    assert bar.value() == bar.maximum() > 0
    dialog.choices.setFixedHeight(60)
    qtbot.waitUntil(lambda: choices.maximum() > 0)
    choices.setValue(choices.maximum())
    bar.setValue(0)
    first, text = dialog.choices.item(0), dialog.lines.toPlainText()
    said = first.text()
    say(40)
    qtbot.waitUntil(lambda: heard(40) and dialog.choices.item(0).text() != said)
    assert dialog.choices.item(0) is first
    assert choices.value() == choices.maximum()
    assert dialog.lines.toPlainText() == text
    bar.setValue(bar.maximum())
    dialog.look()
    assert "40;754000" in dialog.lines.toPlainText()
    dialog.reject()


def test_silence_and_a_lost_port_are_said(qtbot: QtBot) -> None:
    silent = opened(qtbot, [])
    assert silent.trouble.text().startswith("Nothing is heard.")
    assert not silent.buttons.button(QDialogButtonBox.StandardButton.Ok).isEnabled()
    silent.reject()
    lost = opened(qtbot, [Lost(0.0, "the port is busy")])
    qtbot.waitUntil(lambda: "the port is busy" in lost.trouble.text())
    lost.reject()


def test_the_next_speed_is_one_touch_away(qtbot: QtBot) -> None:
    asked: list[str] = []

    def opener(address: str) -> Told:
        asked.append(address)
        garbage = [Rejected(0.0, b"\xf8\x80\x9c\x00\xe3", "heard")]
        good = [Rejected(float(n), raw, "heard") for n, raw in enumerate(LINES)]
        return Told([*good] if address.endswith("baud=115200") else [*garbage])

    dialog = ListenDialog(ListenDesk("serial:COM3?field=9", Words(), opener=opener))
    qtbot.addWidget(dialog)
    qtbot.waitUntil(lambda: "try another speed" in dialog.trouble.text())
    assert dialog.speed.text() == "Try 115200 baud"
    assert dialog._heading.text() == "Lines as they come, at 9600 baud"
    dialog.speed.click()
    assert dialog._heading.text() == "Lines as they come, at 115200 baud"
    qtbot.waitUntil(lambda: dialog.choices.count() > 0)
    assert dialog.trouble.text() == ""
    assert "\\xf8" not in dialog.lines.toPlainText()
    assert asked == ["serial:COM3?field=9", "serial:COM3?field=9&baud=115200"]
    assert dialog.address == "serial:COM3?baud=115200&field=2&unit=micron"
    assert dialog.speed.text() == "Try 19200 baud"
    dialog.reject()
    for address in ("tcp:127.0.0.1:1", "serial:127.0.0.1:4001"):
        network = ListenDialog(ListenDesk(address, Words(), opener=opener))
        qtbot.addWidget(network)
        assert network.speed.isHidden()
        assert network._heading.text() == "Lines as they come"
        network.reject()


def test_only_lines_of_text_can_be_listened_to(qtbot: QtBot) -> None:
    with pytest.raises(UsageError, match="serial: and tcp:"):
        ListenDesk("sim:demo", Words())
    dialog = SensorDialog("sim:demo?speed=10")
    qtbot.addWidget(dialog)
    assert not dialog.listen.isEnabled()
    dialog.take("tcp:127.0.0.1:4001")
    assert dialog.listen.isEnabled()
    assert dialog.address == "tcp:127.0.0.1:4001"
