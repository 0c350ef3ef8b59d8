"""What two gauges on one circuit say of each other."""

import math

import pytest

from analysis.hold.rules import MICRON_PA
from analysis.pump.flow import Hose, conductance_m3_s, effective_speed_m3_s
from analysis.pump.two_gauges import TwoGauges, usual
from analysis.sample import Status
from sensors.events import Reading


def follow(
    gauges: TwoGauges,
    far: list[float],
    pump: list[float],
    from_s: int = 0,
    far_status: Status = "ok",
    pump_status: Status = "ok",
) -> list[str]:
    """Feed one reading a second of each; give the code after each second, "" for none."""
    codes = []
    for second, (far_pa, pump_pa) in enumerate(zip(far, pump, strict=True), start=from_s):
        gauges.take_far(Reading(float(second), far_pa, status=far_status))
        gauges.take_pump(Reading(float(second), pump_pa, status=pump_status))
        reason = gauges.judge(float(second))
        codes.append("" if reason is None else reason.code)
    return codes


def test_two_gauges_that_go_down_together_say_nothing() -> None:
    down = [1000.0 * math.exp(-t / 50.0) for t in range(300)]
    assert set(follow(TwoGauges(), [1.6 * pa for pa in down], down)) == {""}


def test_a_restricted_far_side_is_told_with_the_share_that_is_left() -> None:
    gauges = TwoGauges()
    far = [400.0 * math.exp(-t / 400.0) for t in range(120)]
    codes = follow(gauges, far, [0.004 * pa for pa in far])
    assert set(codes[:60]) == {""}, "a minute tells that it does not fall quickly"
    assert set(codes[60:]) == {"far-restricted"}
    reason = gauges.judge(119.0)
    assert reason is not None
    assert reason.values["share"] == pytest.approx(0.004, rel=0.02)
    assert reason.values["usual_share"] > 10 * reason.values["share"]


@pytest.mark.parametrize(("bore_m", "is_told"), [(0.006, False), (0.0048, False), (0.0025, True)])
@pytest.mark.parametrize("far_pa", [2000.0, 250.0, 67.0, 20.0])
def test_a_usual_hose_is_no_news_at_any_pressure(
    far_pa: float, bore_m: float, is_told: bool
) -> None:
    # The pressures of a steady flow through pump and hose in series, found by bisection.
    low, high = 0.0, far_pa
    for _ in range(60):
        pump_pa = 0.5 * (low + high)
        conductance = conductance_m3_s(Hose(bore_m, 1.5), 0.5 * (far_pa + pump_pa))
        is_low = conductance * (far_pa - pump_pa) > 1.4e-3 * pump_pa
        low, high = (pump_pa, high) if is_low else (low, pump_pa)
    codes = follow(TwoGauges(), [far_pa] * 100, [pump_pa] * 100)
    is_read = pump_pa > MICRON_PA  # no pump pulls lower, so a gauge that shows it is off
    assert set(codes[60:]) == {"far-restricted" if is_told and is_read else ""}


def test_the_share_is_that_of_the_series_law_for_a_hose() -> None:
    # Steady flow Q through pump and hose in series: Q = S P_pump = S_eff P_far (conservation of
    # gas), with S_eff from analysis/pump/flow.py, which is tested against published conductances.
    speed_m3_s, far_pa = 1.4e-3, 200.0
    conductance = conductance_m3_s(Hose(0.0025, 0.9), 0.6 * far_pa)
    effective = effective_speed_m3_s(speed_m3_s, conductance)
    pump_pa = effective * far_pa / speed_m3_s
    gauges = TwoGauges()
    follow(gauges, [far_pa * 0.999**t for t in range(80)], [pump_pa * 0.999**t for t in range(80)])
    reason = gauges.judge(79.0)
    assert reason is not None
    assert reason.values["share"] == pytest.approx(effective / speed_m3_s, rel=1e-6)


def test_a_far_side_that_stays_while_the_pump_side_is_down_does_not_follow() -> None:
    gauges = TwoGauges()
    pump = [max(5.0, 1e5 * math.exp(-t / 5.0)) for t in range(200)]
    codes = follow(gauges, [1e5] * 200, pump)
    assert codes[-1] == "far-not-following"
    first = codes.index("far-not-following")
    assert 60 <= first <= 80  # a minute is needed to see that nothing moves
    assert set(codes[:first]) <= {"", "far-restricted"}


def test_a_far_gauge_over_its_range_is_a_bound_and_counts() -> None:
    pump = [max(5.0, 2600.0 * math.exp(-t / 5.0)) for t in range(100)]
    codes = follow(TwoGauges(), [2600.0] * 100, pump, far_status="over-range")
    assert codes[-1] == "far-not-following"
    assert set(follow(TwoGauges(), [90.0] * 90, [10.0] * 90, pump_status="over-range")) == {""}


def test_a_valve_closed_in_mid_run_is_told_until_the_far_side_follows() -> None:
    gauges = TwoGauges()
    follow(gauges, [60.0] * 100, [20.0] * 100)
    pump = [max(0.2, 20.0 * math.exp(-t / 10.0)) for t in range(400)]
    codes = follow(gauges, [60.0 + 0.01 * t for t in range(400)], pump, 100)
    assert codes[-1] == "far-not-following"
    assert set(codes[60:]) == {"far-not-following"}  # for as long as it stays so
    opened = [max(40.0, 64.0 * math.exp(-t / 8.0)) for t in range(60)]
    assert follow(gauges, opened, [3.0] * 60, 500)[-1] == ""


def test_behind_a_thin_hose_a_far_side_that_stands_still_is_only_restricted() -> None:
    gauges = TwoGauges()
    codes = follow(gauges, [100.0] * 300, [0.4] * 300)
    burst = [100.0 + 80.0 * math.exp(-t / 30.0) for t in range(200)]
    codes += follow(gauges, burst, [0.004 * pa for pa in burst], 300)
    assert set(codes[60:]) == {"far-restricted"}


def test_swapped_gauges_are_told() -> None:
    codes = follow(TwoGauges(), [20.0] * 90, [90.0] * 90)
    assert set(codes[:60]) == {""}
    assert set(codes[60:]) == {"pump-above-far"}
    # A burst on swapped gauges is no pump that stands.
    burst = [90.0 + (400.0 * math.exp(-(t - 100) / 40.0) if t > 100 else 0.0) for t in range(200)]
    assert set(follow(TwoGauges(), [20.0] * 200, burst)) == {"", "pump-above-far"}
    # 15 and 35 micron: two thermal gauges' zeros may be so far apart.
    zeros = follow(TwoGauges(), [15 * MICRON_PA] * 90, [35 * MICRON_PA] * 90)
    assert set(zeros) == {""}


@pytest.mark.parametrize("which", ["far", "pump"])
@pytest.mark.parametrize("lag_s", [5.0, 20.0])
def test_a_gauge_that_lags_in_a_quick_fall_is_no_news(which: str, lag_s: float) -> None:
    """A first-order lag's tail: 1 bar to 10 Pa in a minute, read by one of them ever later."""
    true = [10.0 + 1e5 * math.exp(-t / 6.0) for t in range(400)]
    late, shown = [], 1e5
    for pa in true:
        shown += (pa - shown) * (1.0 - math.exp(-1.0 / lag_s))
        late.append(shown)
    far, pump = (late, true) if which == "far" else (true, late)
    assert set(follow(TwoGauges(), far, pump)) == {""}


def test_a_pump_that_stands_is_no_swapped_gauge() -> None:
    gauges = TwoGauges()
    follow(gauges, [40.0] * 100, [15.0] * 100)
    air = [1e5 - 99_985.0 * math.exp(-t / 40.0) for t in range(200)]
    codes = follow(gauges, [40.0 + 0.02 * t for t in range(200)], air, 100)
    assert set(codes) == {"", "pump-side-rose"}
    assert set(codes[15:]) == {"pump-side-rose"}, "for as long as it stays so"
    slowly = TwoGauges()
    follow(slowly, [5.0] * 100, [3.0] * 100)
    leaks_back = [3.0 * math.exp(t / 30.0) for t in range(150)]
    assert set(follow(slowly, [5.0] * 150, leaks_back, 100)) == {"", "pump-side-rose"}


def test_nitrogen_under_pressure_is_no_evacuation() -> None:
    assert set(follow(TwoGauges(), [1e5] * 90, [11e5] * 90)) == {""}


def test_a_flow_that_is_not_laminar_is_measured_by_no_usual_hose() -> None:
    # 1 bar down to 0.3 bar in a wide hose with a core in it: choked, and yet ordinary.
    assert set(follow(TwoGauges(), [95e3] * 90, [30e3] * 90)) == {""}


def test_a_far_gauge_that_comes_into_its_range_stays_nowhere() -> None:
    gauges = TwoGauges()
    down = [max(100.0, 2e4 * math.exp(-t / 60.0)) for t in range(500)]
    codes = []
    for second, pa in enumerate(down):
        status: Status = "over-range" if pa > 2666.0 else "ok"
        codes += follow(gauges, [min(pa, 2666.0)], [0.1 * pa], second, far_status=status)
    assert "far-not-following" not in codes
    assert "pump-above-far" not in codes


@pytest.mark.parametrize("pause_s", [12, 25])
def test_a_far_gauge_that_measures_seldom_is_not_silent(pause_s: int) -> None:
    gauges = TwoGauges()
    codes = []
    for second in range(400):
        if second % pause_s == 0:
            gauges.take_far(Reading(float(second), 60.0))
        gauges.take_pump(Reading(float(second), 40.0))
        reason = gauges.judge(float(second))
        codes.append("" if reason is None else reason.code)
    assert set(codes[pause_s:]) <= {""} | ({"far-silent"} if pause_s > 12 else set())
    assert "far-silent" not in codes[2 * pause_s :]
    for second in range(400, 500):
        gauges.take_pump(Reading(float(second), 40.0))
    reason = gauges.judge(499.0)
    assert reason is not None
    assert reason.code == "far-silent"


def test_a_dead_gauge_at_the_pump_blames_no_hose() -> None:
    assert set(follow(TwoGauges(), [60.0] * 90, [0.0] * 90)) == {""}
    # ... but one whose zero is off shows a shut valve as well as any.
    assert follow(TwoGauges(), [9e4] * 90, [0.0] * 90)[-1] == "far-restricted"


def test_one_glitch_tells_nothing() -> None:
    far = [100.0] * 60
    pump = [60.0] * 60
    pump[40] = 1.0
    far[45] = 9000.0
    assert set(follow(TwoGauges(), far, pump)) == {""}


def test_the_sentence_does_not_flicker() -> None:
    gauges = TwoGauges()
    usual_share = usual(100.0, 1.0)
    shares = [part * usual_share for part in (0.3, 0.35, 0.4, 0.45, 0.47, 0.53, 0.47, 0.4, 0.36)]
    told = []
    follow(gauges, [100.0] * 75, [0.3 * usual_share * 100.0] * 75)
    for step, share in enumerate(shares):
        far = [100.0] * 15
        told.append(follow(gauges, far, [share * pa for pa in far], 75 + step * 15)[-1])
    assert told == ["far-restricted"] * 5 + [""] * 4


def test_a_lost_far_gauge_is_told_and_one_that_never_spoke_is_not() -> None:
    gauges = TwoGauges()
    gauges.take_pump(Reading(0.0, 9.0))
    assert gauges.judge(1.0) is None
    follow(gauges, [30.0] * 20, [20.0] * 20)
    for second in range(20, 40):
        gauges.take_pump(Reading(float(second), 20.0))
    reason = gauges.judge(39.0)
    assert reason is not None
    assert reason.code == "far-silent"
    gauges.forget()
    assert gauges.judge(40.0) is None


def test_a_silent_gauge_at_the_pump_says_nothing() -> None:
    gauges = TwoGauges()
    follow(gauges, [300.0] * 20, [9.0] * 20)
    for second in range(20, 40):
        gauges.take_far(Reading(float(second), 300.0))
    assert gauges.judge(39.0) is None


def test_memory_is_bounded_at_any_rate() -> None:
    gauges = TwoGauges()
    for step in range(50_000):
        gauges.take_far(Reading(step / 100.0, 100.0))
    assert len(gauges._far._readings) < 200


@pytest.mark.parametrize(("far_pa", "pump_pa"), [(0.0, 0.0), (0.0, 5.0), (5.0, 0.0)])
def test_zero_pressures_break_nothing(far_pa: float, pump_pa: float) -> None:
    follow(TwoGauges(), [far_pa] * 90, [pump_pa] * 90)
