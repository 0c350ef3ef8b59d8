"""Gaps: hatched, or along the foot."""

import numpy as np
from pytestqt.qtbot import QtBot

from app.charts.frame import Frame
from app.charts.gap_layer import GapLayer
from app.charts.run_chart import RunChart
from tests.app.charts.filled import share_of, shown


def test_many_short_gaps_leave_the_trace_to_be_seen(qtbot: QtBot) -> None:
    """A loose plug for ten hours: 600 gaps of 20 s were one hatching over everything."""
    time_s = np.arange(0.0, 36000.0)
    pressure_pa = 40.0 + 20.0 * np.cos(time_s / 3000.0)
    shares = []
    for has_gaps in (False, True):
        chart = shown(RunChart(), qtbot)
        kept = (time_s % 60.0 < 40.0) | (not has_gaps)
        chart.add_readings(time_s[kept], pressure_pa[kept])
        for from_s in range(39, 36000, 60) if has_gaps else ():
            chart.add_gap(float(from_s), from_s + 21.0)
        chart.refresh(36000.0)
        chart.draw()
        shares.append(share_of(chart, "trace"))
        assert share_of(chart, "gap") < 0.01
    assert shares[1] > 0.6 * shares[0]


def test_gaps_are_hatched_where_they_are_wide() -> None:
    layer = GapLayer()
    layer.gaps_s = [(10.0, 10.5), (10.6, 11.0), (50.0, 50.1), (200.0, 300.0), (900.0, 999.0)]
    frame = Frame(width=500.0, height=100.0, left=0.0, right=500.0, low=0.0, high=1.0)
    hatched, foot = layer.stretches(frame)
    assert hatched == [(200.0, 300.0)]
    assert foot == [(10.0, 13.0), (50.0, 52.0)]
