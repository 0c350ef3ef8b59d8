import math
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.calibration import Curve, Point
from sensors.catalogue import open_sensor
from sensors.events import Reading, Rejected, SensorError
from sensors.packed_number import PackedFormat
from sensors.quantity import ATMOSPHERE_PA, HIGHEST_PA
from sensors.text_decoder import TextDecoder, TextFormat
from sensors.zero_span import adjusted

LINE = Curve("linear", (Point(4.0, 0.0), Point(20.0, 1000.0)), low=3.8, high=20.5)
DECADES = Curve("log-linear", (Point(2.0, 1.0), Point(3.0, 10.0)), low=1.0, high=6.0)
TABLE = Curve("table", (Point(0.4, 0.1), Point(1.0, 10.0), Point(5.0, 1e5)))
FALLING = Curve("table", (Point(100.0, 1e5), Point(200.0, 100.0), Point(900.0, 0.1)))


@pytest.mark.parametrize(
    ("curve", "signal", "expected"),
    [
        (LINE, 12.0, (500.0, "ok")),  # 4-20 mA: half way
        (LINE, 3.9, (0.0, "under-range")),  # inside the loop's margin, below zero pressure
        (LINE, 22.0, (1031.25, "over-range")),  # held at 20.5 mA
        (LINE, 0.0, (0.0, "under-range")),  # a broken loop never is a vacuum
        (DECADES, 4.0, (100.0, "ok")),
        (DECADES, 7.0, (10_000.0, "over-range")),
        (DECADES, 0.0, (0.1, "under-range")),
        (TABLE, 0.7, (1.0, "ok")),  # half way on a log scale
        (TABLE, 3.0, (1000.0, "ok")),
        (TABLE, 5.1, (1e5, "over-range")),
        (TABLE, 0.3, (0.1, "under-range")),
        (FALLING, 150.0, (math.sqrt(1e5 * 100), "ok")),
        (FALLING, 50.0, (1e5, "over-range")),
        (FALLING, 901.0, (0.1, "under-range")),
    ],
)
def test_reads(curve: Curve, signal: float, expected: tuple[float, str]) -> None:
    pressure_pa, status = curve.read(signal)
    assert pressure_pa == pytest.approx(expected[0], rel=1e-12)
    assert status == expected[1]


@pytest.mark.parametrize(
    ("kind", "points", "expected"),
    [
        ("cubic", [(0, 1), (1, 2)], "linear, log-linear, table"),
        ("linear", [(0, 1)], "2 of them"),
        ("linear", [(0, 1), (1, 2), (2, 3)], "2 of them"),
        ("table", [(n, n + 1) for n in range(257)], "2 to 256"),
        ("table", [(0, 1), (1, 3), (2, 2)], "rising or falling"),
        ("table", [(0, 1), (0, 2)], "rising"),
        ("table", [(1, 1), (0, 2)], "rising"),
        ("linear", [(1, 1), (1 + 1e-12, 2)], "rising"),
        ("log-linear", [(0, 0), (1, 2)], "above 0"),
        ("linear", [(math.nan, 1), (1, 2)], "finite"),
        ("linear", [(0, 1), (1, math.inf)], "Pa"),
        ("linear", [(0, -5), (1, 2)], "Pa"),
    ],
)
def test_no_curve(kind: Any, points: list[tuple[float, float]], expected: str) -> None:
    with pytest.raises(ValueError, match=expected):
        Curve(kind, tuple(Point(*point) for point in points))


def test_ends_and_note_are_checked() -> None:
    points = (Point(0.0, 1.0), Point(1.0, 2.0))
    for low, high in ((1.0, 1.0), (math.nan, None), (None, math.inf)):
        with pytest.raises(ValueError, match="low below high"):
            Curve("linear", points, low=low, high=high)
    for note in ("two\nlines", "x" * 201):
        with pytest.raises(ValueError, match="one line"):
            Curve("linear", points, note=note)


signals = st.floats(-1e12, 1e12)
pressures = st.floats(1e-12, HIGHEST_PA)


@given(st.data())
def test_any_curve_gives_a_pressure_and_inverts(data: st.DataObject) -> None:
    kind: Any = data.draw(st.sampled_from(["linear", "log-linear", "table"]))
    count = data.draw(st.integers(2, 5)) if kind == "table" else 2
    xs = sorted(data.draw(st.lists(signals, min_size=count, max_size=count)))
    ys = sorted(data.draw(st.lists(pressures, min_size=count, max_size=count)))
    if data.draw(st.booleans()):
        ys.reverse()
    try:
        curve = Curve(kind, tuple(map(Point, xs, ys)))
    except ValueError:
        return
    for signal in (data.draw(st.floats(allow_nan=False, allow_infinity=False)), *xs):
        pressure_pa, status = curve.read(signal)
        assert 0 <= pressure_pa <= HIGHEST_PA * (1 + 1e-6)
        assert status in ("ok", "over-range", "under-range")
    for point in curve.points:
        assert curve.signal_at(point.pressure_pa) == pytest.approx(point.signal, rel=1e-6, abs=1e-3)


def test_a_signal_that_is_none() -> None:
    with pytest.raises(ValueError, match="not finite"):
        LINE.read(math.nan)


def test_zero_and_span_put_a_drifted_gauge_right_at_every_pressure() -> None:
    # A drift: 2 % gain and 0.1 V offset in the electronics before a log-linear head.
    def drifted(volts: float) -> float:
        return 1.02 * volts + 0.1

    zero = Point(drifted(DECADES.signal_at(2.0)), 2.0)
    span = Point(drifted(DECADES.signal_at(1000.0)), 1000.0)
    assert DECADES.read(zero.signal)[0] / 2.0 == pytest.approx(10**0.1460206, rel=1e-6)
    mended = adjusted(DECADES, zero, span, on=date(2030, 1, 31), note="beside a second gauge")
    for pressure_pa in (0.5, 2.0, 66.66, 1000.0, 5000.0):
        signal = drifted(DECADES.signal_at(pressure_pa))
        assert mended.read(signal)[0] == pytest.approx(pressure_pa, rel=1e-9)
    assert (mended.calibrated, mended.note) == (date(2030, 1, 31), "beside a second gauge")
    assert mended.low == pytest.approx(drifted(1.0))


@pytest.mark.parametrize(
    ("zero", "span", "expected"),
    [
        (Point(2.0, 1.0), Point(2.01, 1.02), "too close"),
        (Point(2.0, 1.0), Point(9.0, 10.0), "more than a drift"),
        (Point(3.0, 1.0), Point(2.0, 10.0), "more than a drift"),
        (Point(2.0, 0.0), Point(3.0, 10.0), "above 0"),
        (Point(math.nan, 1.0), Point(3.0, 10.0), "finite"),
    ],
)
def test_what_is_no_drift_is_refused(zero: Point, span: Point, expected: str) -> None:
    with pytest.raises(ValueError, match=expected):
        adjusted(DECADES, zero, span)


def test_the_decoder_reads_volts_through_the_curve() -> None:
    decoder = TextDecoder(TextFormat(field="2", curve=DECADES), is_start_whole=True)
    out = decoder.feed(b"1;4,0 V\n1;-0,5 V\n1;9 V\n1;OL\n1;x\n", 5.0)
    told = [(e.pressure_pa, e.status) for e in out if isinstance(e, Reading)]
    assert [pressure_pa for pressure_pa, _ in told] == pytest.approx([100, 0.1, 1e4, ATMOSPHERE_PA])
    assert [status for _, status in told] == ["ok", "under-range", "over-range", "over-range"]
    assert isinstance(out[4], Rejected)


def test_a_registers_counts_go_through_the_curve() -> None:
    packed = PackedFormat("u16be", scale=0.001, curve=DECADES)  # millivolts in the register
    assert packed.decode((4000).to_bytes(2, "big"), 1.0) == Reading(1.0, 100.0)
    out = packed.decode((9000).to_bytes(2, "big"), 1.0)
    assert isinstance(out, Reading)
    assert out.status == "over-range"
    address = "modbus:10.0.0.2:502?register=3&curve=head"
    assert open_sensor(address, curves={"head": DECADES}).name == address
    with pytest.raises(SensorError, match="no curve 'head'"):
        open_sensor(address)
