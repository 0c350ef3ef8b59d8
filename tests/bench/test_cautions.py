import numpy as np
import pytest

from tests.bench import cautions, mishaps
from tests.bench.caution_score import Case, Due, Span, Tally
from tests.bench.cautions import mishap_cases
from tests.bench.mishaps import make_mishap
from tests.bench.plant import Course, Day, Pool, Rig, play, saturation_pa


def case(
    due: tuple[Due, ...] = (), *spans: Span, name: str = "a", allowed: tuple[str, ...] = ()
) -> Case:
    return Case("kind", name, due, frozenset(allowed), spans, 2000.0)


def tallied(*cases: Case) -> Tally:
    tally = Tally()
    for each in cases:
        tally.add(each)
    return tally


def test_seen_missed_and_false_are_counted_apart() -> None:
    ice = (Due(("ice",), 100.0, 1000.0),)
    row = tallied(
        case(ice, Span("not-pulling-down", 500.0, 900.0), Span("ice", 900.0, 1080.0),
             allowed=("not-pulling-down",)),
        case(ice, Span("not-pulling-down", 500.0, None), name="b", allowed=("not-pulling-down",)),
        case((), Span("ice", 50.0, None), Span("rising", 70.0, 80.0), name="c"),
    ).rows["kind"]  # fmt: skip
    assert row.delays_s == [800.0]
    assert row.lingers_s == [80.0]
    assert (row.missed, row.stood_in) == (["b"], ["b"])
    assert row.false == ["c ice@50", "c rising@70"]
    assert (row.cases, row.false_cases, row.again) == (3, 1, 0)


def test_a_caution_long_before_its_truth_is_not_that_caution() -> None:
    due = (Due(("sudden-rise", "rising"), 500.0),)
    row = tallied(case(due, Span("sudden-rise", 300.0, 320.0))).rows["kind"]
    assert row.missed == ["a"]
    assert row.false_cases == 1


def test_a_caution_that_comes_again_is_counted() -> None:
    due = (Due(("rising",), 500.0),)
    row = tallied(case(due, Span("rising", 510.0, 600.0), Span("rising", 700.0, None))).rows["kind"]
    assert (row.again, row.delays_s) == (1, [10.0])


def test_it_prints_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    chosen = ["--mishaps", "gauge_shut", "--seeds", "1", "--first-seed", "3", "--names"]
    assert cautions.main(chosen) == 0
    printed = capsys.readouterr().out
    assert "gauge_shut           1" in printed
    assert "1 runs: 1 of 1 seen, a false caution in 0" in printed


def test_the_same_seed_makes_the_same_trace() -> None:
    one, other, next_one = (make_mishap("leak", seed) for seed in (5, 5, 6))
    assert np.array_equal(one.pressure_pa, other.pressure_pa)
    assert one.end_s != next_one.end_s
    with pytest.raises(ValueError, match="unknown kind"):
        make_mishap("storm", 1)


@pytest.mark.parametrize(
    ("celsius", "pressure_pa"),
    [(-20.0, 103.239), (-10.0, 259.874), (-5.0, 401.741), (10.0, 1228.20), (20.0, 2339.32)],
)
def test_saturation_pressures(celsius: float, pressure_pa: float) -> None:
    # IAPWS R14-08 (ice) and R6-95 (liquid), as the packages iapws and CoolProp give them.
    assert saturation_pa(celsius) == pytest.approx(pressure_pa, rel=4e-3)


def _frozen(kg: float, warmth_w_per_k: float) -> tuple[Course, Pool]:
    pool = Pool(kg, 3e-3, warmth_w_per_k, 20.0, 20.0, 20.0)
    count, none = 8000, np.zeros(8000)
    day = Day(0.5, 2e-3, Rig(1e-3, 1e-4, 1e-6), 1e5, none + 3.0, none, none, np.ones(count), pool)
    return play(day), pool


def test_a_pool_freezes_and_its_ice_holds_the_pressure_of_its_own_warmth() -> None:
    course, pool = _frozen(5e-3, 0.02)
    assert course.is_ice[-1]
    assert course.water_pa[-1] == pytest.approx(saturation_pa(pool.celsius), rel=0.1)
    # Heat in = heat of sublimation out, 2.834 MJ/kg near 0 C [memory].
    speed = Rig(1e-3, 1e-4, 1e-6).speed_m3_s(float(course.shown_pa(1.0)[-1]))
    kg_s = speed * float(course.water_pa[-1]) * 0.018015 / (8.3145 * 293.0)
    assert kg_s * 2.834e6 == pytest.approx(0.02 * (20.0 - pool.celsius), rel=0.03)


def test_a_little_ice_goes_away() -> None:
    course, pool = _frozen(1e-3, 0.05)
    assert course.is_ice.any()
    assert not course.is_ice[-1]
    assert pool.kg == 0.0
    assert course.water_pa[-1] < 1.0


SURE = ("gauge_shut", "pump_stopped", "air_back", "nitrogen", "nitrogen_marked", "cold", "dead")


@pytest.mark.slow
@pytest.mark.timeout(600)
def test_most_mishaps_are_told_and_healthy_circuits_are_left_alone() -> None:
    tally = tallied(*mishap_cases(mishaps.KINDS, range(100, 103)))
    rows = tally.rows
    assert not [name for kind in SURE for name in rows[kind].missed]
    assert sum(len(row.missed) for row in rows.values()) <= 6
    assert sum(row.false_cases for row in rows.values()) <= 3
    assert not [name for row in rows.values() for name in row.wrong_flats]
