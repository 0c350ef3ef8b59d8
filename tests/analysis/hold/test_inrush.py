"""Gas that rushes in while the valve is closed is told within seconds, and bad readings are not."""

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.evacuation import Evacuation
from analysis.hold.finding import analyse_hold
from analysis.hold.inrush import Inrush
from analysis.hold.rules import MICRON_PA
from analysis.hold.trace import HoldThinner
from analysis.hold.watch import HoldWatch
from analysis.sample import Mark, Status
from sensors.events import Reading

Floats = NDArray[np.float64]
AIR = 7e5  # micron


def shown(micron: Floats, seed: int, step: float = 0.1) -> Floats:
    noise = 1.0 + 0.005 * np.random.default_rng(seed).standard_normal(len(micron))
    return np.asarray(np.maximum(np.round(micron * noise / step) * step, 0.0) * MICRON_PA)


def told_s(t: Floats, pressure_pa: Floats) -> float | None:
    """When it is told first, by the readings up to then."""
    hold = HoldThinner()
    for time_s, pa in zip(t.tolist(), pressure_pa.tolist(), strict=True):
        hold.add(time_s, pa, None)
        if hold.rush is not None:
            return float(time_s)
    return None


def rushing(t: Floats, from_s: float, top: float, tau_s: float) -> Floats:
    return 150.0 + 0.01 * t - top * np.expm1(-np.maximum(t - from_s, 0.0) / tau_s)


@pytest.mark.parametrize("interval_s", [0.1, 0.5, 1.0])
@pytest.mark.parametrize("from_s", [70.0, 700.0, 1790.0])
@pytest.mark.parametrize(
    ("top", "tau_s", "within_s"), [(AIR, 2.0, 4.0), (AIR, 60.0, 4.0), (3000.0, 2.0, 4.0),
                                   (4000.0, 30.0, 8.0)],
)  # fmt: skip
def test_a_rush_is_told_within_seconds(
    top: float, tau_s: float, within_s: float, from_s: float, interval_s: float
) -> None:
    t = np.arange(0.0, from_s + 30.0, interval_s)
    told = told_s(t, shown(rushing(t, from_s, top, tau_s), 1))
    assert told is not None
    assert from_s < told <= from_s + within_s


def test_air_is_told_in_the_first_minute_as_well_and_boiling_is_not() -> None:
    t = np.arange(0.0, 180.0)
    told = told_s(t, shown(rushing(t, 20.0, AIR, 5.0), 2))
    assert told is not None
    assert told <= 24.0
    boils = 60.0 - 3000.0 * np.expm1(-t / 25.0)
    for every in (1, 10, 30):
        assert told_s(t[::every], shown(boils, 3)[::every]) is None


@pytest.mark.parametrize("interval_s", [0.5, 1.0, 10.0, 60.0])
@pytest.mark.parametrize("count", [1, 2])
@pytest.mark.parametrize("factor", [0.0, 20.0, 5000.0])
@pytest.mark.parametrize("at_s", [58.0, 60.0, 61.0, 300.0])
def test_one_or_two_wild_readings_are_no_rush(
    at_s: float, factor: float, count: int, interval_s: float
) -> None:
    t = np.arange(0.0, 1200.0, interval_s)
    pressure_pa = shown(rushing(t, 1e9, AIR, 1.0), 4)
    place = int(np.searchsorted(t, at_s))
    pressure_pa[place : place + count] *= factor
    assert told_s(t, pressure_pa) is None


@pytest.mark.parametrize("step", [0.1, 1.0, 10.0])
@pytest.mark.parametrize("rate", [1.0, 5.0])  # micron a second: bad leaks
def test_a_stuck_gauge_that_lets_go_is_no_rush_and_what_comes_after_may_be(
    rate: float, step: float
) -> None:
    t = np.arange(0.0, 1000.0)
    true = 150.0 + rate * t
    pressure_pa = shown(true, 5, step)
    pressure_pa[300:700] = pressure_pa[300]
    assert told_s(t, pressure_pa) is None
    pressure_pa[705:] += AIR * MICRON_PA * -np.expm1(-(t[705:] - 704.0) / 5.0)
    told = told_s(t, pressure_pa)
    assert told is not None
    assert 705.0 < told <= 709.0


def test_a_gauge_that_reads_each_five_seconds_needs_three_readings() -> None:
    t = np.arange(0.0, 700.0, 5.0)
    told = told_s(t, shown(rushing(t, 601.0, AIR, 5.0), 12))
    assert told == 615.0


def test_a_long_stand_after_the_even_out_hides_no_rush() -> None:
    """A coarse reading that evened out and stood is not one that got stuck."""
    t = np.arange(0.0, 700.0)
    micron = 400.0 - 60.0 * np.expm1(-t / 20.0) - 3000.0 * np.expm1(-np.maximum(t - 650.7, 0) / 2.0)
    told = told_s(t, np.round(micron / 10.0) * 10.0 * MICRON_PA)
    assert told is not None
    assert told <= 655.0


def test_a_burst_in_a_closed_circuit_stays_up_and_is_no_rush() -> None:
    t = np.arange(0.0, 900.0)
    burst = 60.0 + np.where(t > 400.0, -300.0 * np.expm1(-(t - 400.0) / 3.0), 0.0)
    assert told_s(t, shown(burst, 6)) is None


def test_it_is_over_when_the_gas_has_gone() -> None:
    inrush = Inrush()
    seen = []
    for second in range(400):
        inrush.add(float(second), 38_000.0 if 100 <= second < 200 else 20.0)
        seen.append(inrush.rush is not None)
    assert seen[103:200] == [True] * 97
    assert not any(seen[:100])
    assert not any(seen[210:])


def live(*, hold_s: int, tail: list[tuple[float, Status]]) -> list[bool]:
    """Whether each reading of the tail after a quiet hold found it told that gas rushed in."""
    evacuation, told = Evacuation(), []
    rng = np.random.default_rng(7)
    for second in range(60):
        evacuation.update(Reading(float(second), 20.0))
    evacuation.update(Mark(60.0, "valve-closed"))
    quiet: list[tuple[float, Status]] = []
    quiet += [(20.0 + float(rng.normal(0.0, 0.02)), "ok") for _ in range(hold_s)]
    for number, (pressure_pa, status) in enumerate([*quiet, *tail]):
        snapshot = evacuation.update(Reading(60.0 + number, pressure_pa, status=status))
        codes = set() if snapshot.hold is None else {r.code for r in snapshot.hold.reasons}
        told.append("opened-to-air" in codes)
    return told[hold_s:]


@pytest.mark.parametrize("hold_s", [90, 1700])
def test_a_live_hold_says_so_within_seconds(hold_s: int) -> None:
    """It took 16 s in a hold of ten minutes, and up to a minute in one of half an hour."""
    told = live(hold_s=hold_s, tail=[(38_000.0, "ok")] * 20)
    assert told.index(True) <= 4
    assert all(told[told.index(True) :])


@pytest.mark.parametrize("top", [1500.0, 4000.0, 60_000.0])
def test_what_rushed_in_and_stayed_is_told_for_as_long_as_it_is_there(top: float) -> None:
    """After a minute it was a leak of 111 micron/min from a start of -761 micron."""
    t = np.arange(0.0, 1800.0)
    result = analyse_hold(t, shown(rushing(t, 1200.0, top, 5.0), 10))
    assert "opened-to-air" in {reason.code for reason in result.reasons}
    assert result.duration_s == pytest.approx(1200.0, abs=10.0)
    assert result.finding == "held"


@pytest.mark.parametrize("stood_s", [40.0, 200.0])
def test_nor_is_it_forgotten_where_the_pump_took_it_away_before_the_mark(stood_s: float) -> None:
    """It was a leak of 115 micron/min, and a hold that was opened to the pump."""
    t = np.arange(0.0, 1230.0 + stood_s)
    micron = rushing(t, 1200.0, 4000.0, 5.0)
    pumped = t >= 1200.0 + stood_s
    micron[pumped] = 150.0 + 4000.0 * np.exp(-(t[pumped] - 1200.0 - stood_s) / 5.0)
    result = analyse_hold(t, shown(micron, 11))
    assert "opened-to-air" in {reason.code for reason in result.reasons}
    assert result.finding == "held"
    assert result.duration_s == pytest.approx(1200.0, abs=10.0)
    assert [check.name for check in result.limits if not check.passed] == ["highest", "charge"]


def test_so_it_is_while_the_hold_goes_on() -> None:
    told = live(hold_s=90, tail=[(550.0, "ok")] * 90)
    assert all(told[told.index(True) :])


def test_so_it_does_where_the_gauge_is_beyond_its_range() -> None:
    """Nothing was told at all, for what is beyond the range is no reading of the hold."""
    told = live(hold_s=300, tail=[(1600.0, "over-range")] * 20)
    assert told.index(True) <= 4


def test_a_recorded_hold_heeds_what_is_beyond_the_range() -> None:
    t = np.arange(0.0, 700.0)
    pressure_pa = 20.0 + np.random.default_rng(8).normal(0.0, 0.02, 700)
    pressure_pa[690:] = 1600.0
    result = analyse_hold(t, pressure_pa, is_beyond=t >= 690.0)
    assert result.finding == "held"
    assert result.duration_s == pytest.approx(689.0, abs=4.0)
    assert "opened-to-air" in {reason.code for reason in result.reasons}
    assert [check.name for check in result.limits if not check.passed] == ["highest", "charge"]
    with pytest.raises(ValueError, match="one within"):
        analyse_hold(t, pressure_pa, is_beyond=t >= 0.0)


def test_a_hold_of_over_half_an_hour_is_seen_to_be_opened() -> None:
    """Its bins are longer than the ten seconds within which a rush shows."""
    t = np.arange(0.0, 2700.0)
    result = analyse_hold(t, shown(rushing(t, 2670.0, AIR, 5.0), 9))
    assert result.finding == "held"
    assert "opened-to-air" in {reason.code for reason in result.reasons}


def test_what_moved_by_all_that_it_may_is_judged_anew_at_once() -> None:
    watch, rng = HoldWatch(), np.random.default_rng(3)
    for second in range(1500):
        watch.update(float(second), 20.0 + float(rng.normal(0.0, 0.05)), None)
    before = watch.result(1499.0)
    watch.update(1505.0, 20.0 + 12.0, None)
    assert watch.result(1505.0) is before
    watch.update(1506.0, 20.0 + 14.0, None)  # over 100 micron
    assert watch.result(1506.0) is not before


@pytest.mark.parametrize(("rate", "within_s"), [(20.0, 45), (3.0, 60)])
def test_a_leak_that_opens_late_in_a_hold_is_no_outlier(rate: float, within_s: int) -> None:
    """Up to one point in twenty was left out: of 25 min the last 75 s, at 1300 micron "held"."""
    t = np.arange(0.0, 1500.0 + within_s)
    result = analyse_hold(t, shown(150.0 + rate * np.maximum(t - 1500.0, 0.0), 10))
    assert result.finding != "held"


def test_two_wild_readings_late_in_a_hold_still_are() -> None:
    t = np.arange(0.0, 1500.0)
    for place in (-2, -9):  # in one bin, and across two
        micron = 150.0 + 0.001 * t
        micron[place : place + 2 or None] = 3000.0
        assert analyse_hold(t, shown(micron, 11)).finding == "held"
