"""What the pen passes to the lull chart of a run that goes through the real analysis."""

import pytest
from pytestqt.qtbot import QtBot

from analysis.evacuation import Evacuation
from analysis.sample import Mark
from app.run import Step
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
