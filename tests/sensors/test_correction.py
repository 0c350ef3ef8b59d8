import asyncio
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.address import parse_address, with_options
from sensors.calibration import Curve, Point
from sensors.catalogue import open_sensor
from sensors.correction import Applied, Correction, correction_of
from sensors.events import Connected, Emit, Lost, Reading, Rejected, SensorError
from sensors.zero_span import Check, adjusted, correction_from
from tests.sensors.heard import Heard
from tests.sensors.tasks import serving, stopped

DAY = date(2030, 1, 31)
LINE = Curve("linear", (Point(0.0, 0.0), Point(10.0, 1000.0)))


def test_readings_are_put_right_and_what_is_out_of_range_is_left() -> None:
    correction = Correction(zero_pa=2.0, gain=1.1)
    assert correction.of(Reading(1.0, 102.0, 20.0)) == Reading(1.0, 110.0, 20.0)
    assert correction.of(Reading(1.0, 1.5)) == Reading(1.0, 0.0, None, "under-range")
    over = Reading(1.0, 2666.4, None, "over-range")
    assert correction.of(over) == over


def test_an_address_tells_it() -> None:
    assert correction_of(parse_address("tcp:a:1?unit=pa").options) is None
    told = parse_address("tcp:a:1?zero_pa=-0.5&gain=1.02&checked=2030-01-31").options
    assert correction_of(told) == Correction(-0.5, 1.02, DAY)
    assert correction_of({"checked": "2030-01-31"}) == Correction(0.0, 1.0, DAY)


@pytest.mark.parametrize(
    ("zero", "span", "expected"),
    [
        (Check.of(3.0, 1.0), None, Correction(2.0, 1.0, DAY)),
        (None, Check.of(500.0, 550.0), Correction(0.0, 1.1, DAY)),
        # 0.8 x true + 2: (3.6 - 2) x 1.25 = 2, (802 - 2) x 1.25 = 1000.
        (Check.of(3.6, 2.0), Check.of(802.0, 1000.0), Correction(2.0, 1.25, DAY)),
        (None, None, Correction(0.0, 1.0, DAY)),
    ],
)
def test_what_was_seen_gives_it(
    zero: Check | None, span: Check | None, expected: Correction
) -> None:
    found = correction_from(zero, span, on=DAY)
    assert (found.zero_pa, found.gain) == pytest.approx((expected.zero_pa, expected.gain))
    assert found.checked == DAY


@given(st.floats(0, 10), st.floats(100, 1e5), st.floats(-3, 3), st.floats(0.51, 1.99))
def test_it_is_true_at_both_points(low: float, high: float, zero_pa: float, gain: float) -> None:
    def read(true_pa: float) -> float:
        return true_pa / gain + zero_pa

    checks = [Check.of(read(true_pa), true_pa) for true_pa in (low, high)]
    found = correction_from(*checks)
    for check in checks:
        put_right = (check.read_pa - found.zero_pa) * found.gain
        assert put_right == pytest.approx(check.true_pa, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("zero", "span", "expected"),
    [
        (None, Check.of(100.0, 1000.0), "more than a drift"),
        (None, Check.of(1013.0, 101_300.0), "span is 100 times"),
        (Check.of(100.0, 100.0), Check.of(101.0, 101.0), "too close"),
        (Check.of(0.0, 0.0), Check.of(0.0, 5.0), "too close"),
        # The air's pressure held against a vacuum: a slip of the row or the unit.
        (Check.of(101_325.0, 0.0), None, "zero is 101325 Pa off: more than a drift"),
        (Check.of(95_000.0, 135.1), None, "zero is 94865 Pa off: more than a drift"),
        (Check.of(3.0, float("inf")), None, "more than a drift"),
    ],
)
def test_what_is_no_drift_is_refused(zero: Check | None, span: Check | None, expected: str) -> None:
    with pytest.raises(ValueError, match=expected):
        correction_from(zero, span)


def test_one_point_shifts_a_curve() -> None:
    moved = adjusted(LINE, Point(0.2, 0.0), None, on=DAY)
    assert moved.read(0.2)[0] == pytest.approx(0.0, abs=1e-9)
    assert moved.read(10.2)[0] == pytest.approx(1000.0)
    assert moved.calibrated == DAY


class Told:
    name = "tcp:a:1"

    async def run(self, emit: Emit) -> None:
        emit(Connected(0.0, "a port 1"))
        emit(Reading(0.0, 12.0))
        emit(Rejected(0.0, b"x", "no number"))
        emit(Lost(0.0, "gone"))


def test_everything_else_passes_and_the_link_says_what_is_applied() -> None:
    heard = Heard()
    applied = Applied(Told(), Correction(2.0, 1.1, DAY), "through its linear curve (undated)")
    asyncio.run(applied.run(heard))
    assert applied.name == "tcp:a:1"
    assert heard.events == [
        Connected(
            0.0,
            "a port 1, through its linear curve (undated), "
            "put right by its check (2030-01-31): zero 2 Pa, gain 1.1",
        ),
        Reading(0.0, 11.0),
        Rejected(0.0, b"x", "no number"),
        Lost(0.0, "gone"),
    ]


def test_a_gauge_over_tcp_is_put_right() -> None:
    async def serve(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writer.write(b"102\r\n")
        await writer.drain()

    async def main() -> None:
        async with serving(serve) as target:
            heard = Heard()
            sensor = open_sensor(f"tcp:{target}?unit=pa&zero_pa=2&gain=1.1&checked=2030-01-31")
            task = asyncio.ensure_future(sensor.run(heard))
            await heard.until(lambda h: bool(h.readings()))
            await stopped(task)
            first = heard.events[0]
            assert isinstance(first, Connected)
            assert first.detail.endswith("(2030-01-31): zero 2 Pa, gain 1.1")
            assert heard.readings()[0].pressure_pa == 110.0

    asyncio.run(main())


@pytest.mark.parametrize(
    "address",
    [
        "serial:COM3",
        "tcp:a:1?query=P%3F%0D&every=2&delimiter=;",
        "scpi:COM3?query=MEAS:ALL? (@1)",
        "modbus:a:1?register=3",
        "ble:Gauge 7",
        "bthome:C0:FF:EE:00:00:01",
    ],
)
def test_options_come_into_any_kind_and_go_out_again(address: str) -> None:
    changes = {"zero_pa": "1.5", "gain": "1.02", "checked": "2030-01-31"}
    changed = with_options(address, changes)
    assert dict(parse_address(changed).options) == {**parse_address(address).options, **changes}
    back = with_options(changed, dict.fromkeys(changes))
    assert parse_address(back) == parse_address(address)
    with pytest.raises(SensorError, match=r"from 0\.5 to 2"):
        with_options(address, {"gain": "7"})
