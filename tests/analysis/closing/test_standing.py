"""Isolations and forgotten closings, through the one door."""

import math

import pytest

from tests.analysis.circuit_made import Circuit


def test_an_isolation_is_set_beside_the_one_before() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    first = circuit.isolate(180, 0.10)
    assert first.isolation is not None
    assert first.isolation.comparison is not None
    assert first.isolation.comparison.code == "isolation-first"
    circuit.read(300, 20.0)
    circuit.mark("valve-closed")
    running = circuit.read(150, 20.0, 0.05)
    assert running.isolation is not None
    assert running.isolation.until_s is None
    second = circuit.mark("valve-opened").isolation
    assert second is not None
    assert second.until_s is not None
    assert second.rate is not None
    assert second.rate.low < 0.05 < second.rate.high
    assert second.comparison is not None
    assert second.comparison.code == "isolation-slower"
    assert second.comparison.values["ratio"] == pytest.approx(0.5, rel=0.05)
    after = circuit.read(5, 20.0)
    assert [i.from_s for i in after.isolations] == [300.0, 780.0]


def test_a_rise_that_levels_off_is_compared_over_equal_times() -> None:
    # 120 s of the same levelling rise rise faster on average than 300 s of it.
    circuit = Circuit()
    circuit.read(300, 20.0)
    for seconds in (300, 120):
        circuit.mark("valve-closed")
        for second in range(seconds):
            circuit.read(1, 20.0 + 10.0 * (1.0 - math.exp(-second / 100.0)))
        snapshot = circuit.mark("valve-opened")
        circuit.read(200, 20.0)
    assert snapshot.isolation is not None
    assert snapshot.isolation.comparison is not None
    assert snapshot.isolation.comparison.code == "isolation-same"


def test_a_hold_is_no_isolation() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    circuit.isolate(180, 0.1)
    circuit.read(100, 20.0)
    circuit.mark("valve-closed")
    circuit.read(150, 20.0, 0.001)
    done = circuit.mark("hold-over")
    assert done.stage == "done"
    assert done.isolation is not None
    assert done.isolation.from_s == 300.0
    assert len(done.isolations) == 1


def test_the_isolations_kept_are_bounded() -> None:
    circuit = Circuit()
    for _ in range(70):
        circuit.read(12, 20.0)
        snapshot = circuit.isolate(12, 0.1)
    assert len(snapshot.isolations) == 64


@pytest.mark.parametrize(("rate_pa_s", "flat_after_s"), [(0.0125, 1350), (0.1, 1830)])
def test_an_isolation_shortens_the_quiet_that_a_clean_circuit_needs(
    rate_pa_s: float, flat_after_s: float
) -> None:
    # 0.0222 Pa/s are the hold's 100 micron in 10 min: half of that asks for half of the rest.
    circuit = Circuit()
    circuit.read(60, 20.0)
    circuit.isolate(130, rate_pa_s)
    watched_s = 60
    snapshot = circuit.read(1, 20.0)
    while snapshot.stage != "flat" and watched_s < 2200:
        snapshot = circuit.read(10, 20.0)
        watched_s += 10
    assert watched_s == pytest.approx(flat_after_s, abs=140)
    expected = "quiet-start" if rate_pa_s == 0.1 else "isolation-proves"
    assert snapshot.stage_reason.code == expected


def test_a_forgotten_closing_is_confirmed_with_all_its_readings() -> None:
    """Told late the hold is the same as told in time."""
    told, late = Circuit(), Circuit()
    told.read(150, 20.0)
    told.mark("valve-closed")
    late.read(150, 20.0)
    told.read(120, 20.0, 0.1)
    offered = late.read(120, 20.0, 0.1).offered
    assert offered is not None
    assert offered.from_s == pytest.approx(150.0, abs=4.0)
    late.mark("valve-closed", 150.0)
    in_time, afterwards = told.read(40, 32.0, 0.1), late.read(40, 32.0, 0.1)
    assert afterwards.stage == "holding"
    assert (afterwards.hold_from_s, in_time.hold_from_s) == (150.0, 150.0)
    assert afterwards.offered is None
    assert afterwards.hold is not None
    assert in_time.hold is not None
    # Judged anew every 5 s, not at the same seconds.
    assert afterwards.hold.duration_s == pytest.approx(in_time.hold.duration_s, abs=5.0)
    assert afterwards.hold.finding == in_time.hold.finding
    assert afterwards.hold.leak_pa_s is not None
    assert in_time.hold.leak_pa_s is not None
    assert afterwards.hold.leak_pa_s.best == pytest.approx(in_time.hold.leak_pa_s.best, rel=0.05)


def test_an_offer_stands_longer_than_the_memory() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    snapshot = circuit.read(1500, 20.0, 0.05)
    assert snapshot.offered is not None
    confirmed = circuit.mark("valve-closed", snapshot.offered.from_s)
    assert confirmed.hold_from_s == snapshot.offered.from_s
    confirmed = circuit.read(3, 95.0)
    assert confirmed.hold is not None
    assert confirmed.hold.duration_s > 1450.0
    assert confirmed.hold.finding == "leak"


def test_a_closing_cannot_lie_before_what_is_remembered() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    circuit.isolate(120, 0.1)
    circuit.read(60, 20.0)
    assert circuit.mark("valve-closed", 50.0).hold_from_s == 420.0
    with pytest.raises(ValueError, match="goes back"):
        circuit.mark("valve-opened", 100.0)
