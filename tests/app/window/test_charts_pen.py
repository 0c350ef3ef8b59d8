"""What the pen passes to the charts of a run that goes through the real analysis."""

import pytest
from pytestqt.qtbot import QtBot

from analysis.evacuation import Evacuation
from analysis.sample import Mark
from app.live.run import Step
from app.window.charts_pen import ChartsPen
from sensors.events import Reading
from sensors.sim.simulation import generate


def test_a_blank_off_test_is_no_quiet_of_the_circuit(qtbot: QtBot) -> None:
    """Hoses and gauge alone: no burst of the circuit could be seen."""
    pen, evacuation = ChartsPen(), Evacuation()
    for chart in (pen.lulls, pen.whole, pen.recent, pen.hold):
        qtbot.addWidget(chart)

    def play(*items: Reading | Mark) -> float | None:
        for item in items:
            snapshot = evacuation.update(item)
            pen.draw(Step(item, snapshot))
        pen.refresh(snapshot, 600.0)
        pen.lulls.draw()
        return pen.lulls.quiet_s

    trace, _ = generate("wet", seed=3, rate_hz=1.0, duration_s=600.0)
    times, pressures = trace.time_s.tolist(), trace.pressure_pa.tolist()
    readings = [Reading(*each) for each in zip(times, pressures, strict=True)]
    assert play(*readings) is not None
    alone = [Reading(601.0 + at, 5.0 + 0.01 * at) for at in range(300)]
    assert play(Mark(600.5, "blank-off"), *alone) is None
    after = [Reading(901.0 + at, 40.0) for at in range(10)]
    assert play(Mark(900.5, "hold-over"), *after) == pytest.approx(9.5, abs=1.1)


def test_what_comes_after_a_hold_is_no_part_of_its_chart(qtbot: QtBot) -> None:
    pen, evacuation = ChartsPen(), Evacuation()
    for chart in (pen.lulls, pen.whole, pen.recent, pen.hold):
        qtbot.addWidget(chart)
    held = [Reading(float(at), 20.0 + 0.001 * at) for at in range(1, 200)]
    after = [Reading(float(at), 900.0) for at in range(201, 300)]
    closed, over = Mark(0.5, "valve-closed"), Mark(200.0, "hold-over")
    items: list[Reading | Mark] = [closed, *held, over, *after]
    for item in items:
        pen.draw(Step(item, evacuation.update(item)))
    assert len(pen.hold._readings) == len(held)
