"""A second gauge in the window: chosen, shown small and drawn, and told in words."""

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QDialogButtonBox
from pytestqt.qtbot import QtBot

from analysis.reason import Reason
from app.charts.recent_chart import RecentChart
from app.charts.run_chart import RunChart
from app.gauge.link import AtPump
from app.live.run import Step
from app.window.sensor_dialog import SensorDialog
from sensors.events import Connected, Lost, Reading
from sensors.sim.sensor import SimSensor
from tests.app.window.conftest import Desk

OK = QDialogButtonBox.StandardButton.Ok


@pytest.fixture
def two(desk: Desk) -> Desk:
    """A far gauge that reads 40 Pa and one at the pump."""
    desk.session.sensor = SimSensor("clean")
    desk.run.pump_side.change("serial:/dev/ttyUSB1?field=2&unit=micron")
    desk.run.play([Connected(0.0, "far"), *(Reading(float(t), 40.0) for t in range(30))])
    desk.presenter.look()
    say(desk, Connected(0.0, "near"), *(Reading(t + 0.5, 20.0) for t in range(30)))
    return desk


def say(desk: Desk, *events: Connected | Reading | Lost) -> None:
    """Let the gauge at the pump say something."""

    def steps() -> Iterator[Step]:
        for event in events:
            desk.run.pump_side.take(event)
            yield Step(AtPump(event), desk.run.snapshot)

    drain = desk.run.drain
    desk.run.drain = steps  # type: ignore[method-assign]
    desk.presenter.look()
    desk.run.drain = drain  # type: ignore[method-assign]
    desk.presenter.look()


def test_its_value_stands_small_beside_the_main_number(two: Desk) -> None:
    verdict = two.window.verdict
    assert verdict.at_pump.isVisible()
    assert verdict.at_pump.text() == "at the pump 150 micron"
    assert two.window.screen_now.pressure == "300"
    two.window.set_unit("pa")
    assert verdict.at_pump.text() == "at the pump 20 Pa"


def test_without_one_nothing_is_shown(desk: Desk) -> None:
    desk.run.play([Reading(0.0, 40.0)])
    desk.presenter.look()
    assert not desk.window.verdict.at_pump.isVisible()
    assert "pump" not in desk.window.screen_now.sensor.text


def test_drops_of_either_are_told_apart(two: Desk) -> None:
    assert two.window.screen_now.sensor.text == "Connected: far"
    say(two, Lost(31.0, "its cable fell off"))
    line = two.window.screen_now.sensor
    assert line.text.startswith("at the pump: Lost since")
    assert line.text.endswith("far: Connected: far")
    assert line.tone == "attention"
    assert two.window.verdict.at_pump.text() == "at the pump –"
    two.run.play([Lost(32.0, "this one too")])
    two.presenter.look()
    line = two.window.screen_now.sensor
    assert line.text.startswith("far: Lost since")
    assert "its cable fell off" in line.text
    assert line.tone == "danger"


@pytest.mark.parametrize(
    ("code", "share", "is_in_verdict"),
    [
        ("far-restricted", 0.1, False),
        ("far-restricted", 0.01, True),
        ("far-not-following", 0.1, True),
        ("pump-above-far", 0.1, True),
        ("far-silent", 0.1, True),
    ],
)
def test_the_difference_is_one_sentence(
    two: Desk, code: str, share: float, is_in_verdict: bool
) -> None:
    values = {"far_pa": 40.0, "pump_pa": 4.0, "share": share, "usual_share": 0.3}
    two.run.pump_side.difference = Reason(code, values)
    two.presenter.look()
    screen = two.window.screen_now
    (passage,) = [passage for passage in screen.why if passage.heading == "The two gauges"]
    (sentence,) = passage.lines
    assert "30 micron" in sentence
    assert "–" not in sentence
    assert (sentence in screen.verdict) == is_in_verdict


@pytest.mark.parametrize("kind", [RunChart, RecentChart])
def test_its_trace_is_drawn_apart(qtbot: QtBot, kind: type[RunChart] | type[RecentChart]) -> None:
    chart = kind()
    qtbot.addWidget(chart)
    chart.resize(900, 360)
    with qtbot.waitExposed(chart):
        chart.show()
    time_s = np.arange(0.0, 280.0, 0.5)
    chart.add_readings(time_s, np.linspace(90.0, 60.0, len(time_s)))
    colour = chart._canvas.look.palette.pump
    assert count(chart, colour) == 0
    chart.add_pump_readings(time_s, np.linspace(50.0, 45.0, len(time_s)))
    # In dashes: some two in three of the pixel columns that 280 s take, and its name.
    assert 200 < count(chart, colour) < 1500
    chart.clear()
    assert len(chart._parts.at_pump) == 0


def count(chart: RunChart | RecentChart, colour: str) -> int:
    """Count the pixels of a colour."""
    chart.changed()
    chart.refresh(280.0)
    chart.paint_now()
    image = chart.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(image.constBits(), np.uint32) & 0xFFFFFF
    return int((pixels == int(colour[1:], 16)).sum())


def test_a_pump_side_far_below_does_not_flatten_the_bursts(qtbot: QtBot) -> None:
    chart = RecentChart()
    qtbot.addWidget(chart)
    time_s = np.arange(0.0, 280.0, 0.5)
    chart.add_readings(time_s, 90.0 + 5.0 * np.sin(time_s / 9.0))
    alone = chart.fit_range(0.0, 280.0)
    chart.add_pump_readings(time_s, np.full(len(time_s), 1.0))
    assert chart.fit_range(0.0, 280.0) == alone
    chart.clear()
    chart.add_readings(time_s, np.linspace(90.0, 60.0, len(time_s)))
    chart.add_pump_readings(time_s, np.full(len(time_s), 50.0))
    assert chart.fit_range(0.0, 280.0)[0] <= 50.0


def test_the_dialog_takes_a_second_gauge(qtbot: QtBot) -> None:
    dialog = SensorDialog("tcp:127.0.0.1:4001")
    qtbot.addWidget(dialog)
    dialog.show()
    ok = dialog.buttons.button(OK)
    assert (dialog.at_pump, ok.isEnabled()) == ("", True)
    assert not dialog.second.line.isVisible()
    dialog.second.tick.setChecked(True)
    assert dialog.second.line.isVisible()
    assert not ok.isEnabled()
    dialog.second.line.setText("tcp:127.0.0.1:4001")
    assert not ok.isEnabled()  # one gauge cannot be both
    dialog.second.line.setText("nonsense")
    assert not ok.isEnabled()
    dialog.second.line.setText("tcp:127.0.0.1:4002")
    assert ok.isEnabled()
    assert (dialog.address, dialog.at_pump) == ("tcp:127.0.0.1:4001", "tcp:127.0.0.1:4002")
    dialog.second.tick.setChecked(False)
    assert (dialog.at_pump, ok.isEnabled()) == ("", True)


def test_the_second_gauge_is_chosen_like_the_first(qtbot: QtBot) -> None:
    dialog = SensorDialog("sim:wet", at_pump="tcp:127.0.0.1:4002")
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.second.is_wanted
    dialog.second.button.click()
    (chosen,) = dialog.findChildren(SensorDialog)
    assert chosen.address == "tcp:127.0.0.1:4002"
    assert not chosen.second.isVisibleTo(chosen)
    chosen.take("tcp:127.0.0.1:4003")
    chosen.accept()
    assert dialog.at_pump == "tcp:127.0.0.1:4003"


def test_what_was_chosen_is_read_and_remembered(desk: Desk, qtbot: QtBot) -> None:
    desk.window.dialogs.gauge()
    (dialog,) = desk.window.findChildren(SensorDialog)
    dialog.take("tcp:127.0.0.1:4001")
    dialog.second.tick.setChecked(True)
    dialog.second.line.setText("tcp:127.0.0.1:4002")
    dialog.accept()
    names = [getattr(sensor, "name", None) for sensor in desk.run.started]
    assert names == ["tcp:127.0.0.1:4001", "tcp:127.0.0.1:4002"]
    kept = desk.session.memory.value
    assert (kept.address, kept.at_pump) == ("tcp:127.0.0.1:4001", "tcp:127.0.0.1:4002")
