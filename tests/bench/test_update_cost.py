"""A reading late in a run costs what an early one does, and not much more than a yardstick."""

from statistics import median

import pytest

from analysis.evacuation import Evacuation
from tests.bench.traces import make_trace
from tests.bench.update_cost import (
    OwnCost,
    averages_s,
    chunk_costs,
    costs_s,
    main,
    saw,
    yardstick_s,
)


def late_over_early(duration_s: float) -> float:
    """Cost in the last third of a run over that in the second, without the few dear chunks."""
    costs = list(chunk_costs(saw(5.0, duration_s), Evacuation().update))
    third = len(costs) // 3
    return median(costs[-third:]) / median(costs[third : 2 * third])


def test_cost_does_not_grow_with_the_run() -> None:
    """Wide margin: 1 is aimed at; a busy machine wavers."""
    assert late_over_early(1800.0) < 1.7


@pytest.mark.slow
def test_cost_does_not_grow_over_hours() -> None:
    assert late_over_early(4 * 3600.0) < 1.5


def test_a_reading_costs_a_few_yardsticks() -> None:
    """About 20 at five readings a second when this was written; twice that is a fault."""
    whole_s, alone_s = costs_s(saw(5.0, 900.0))
    assert alone_s < whole_s < 45.0 * yardstick_s()


def test_prints_its_table(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--minutes", "4", "--kinds", "sparse_sampling"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 4


def test_a_slow_gauge_weighs_as_much_as_a_fast_one_only_in_the_mean_over_traces() -> None:
    fast, slow = OwnCost("fast/0", 9000, 0.18), OwnCost("slow/0", 1000, 0.08)
    assert averages_s([fast, slow]) == pytest.approx((26e-6, 50e-6))


def test_prints_what_kinds_cost_at_their_own_rates(capsys: pytest.CaptureFixture[str]) -> None:
    count = int((make_trace("sparse_sampling", 0).time_s <= 240.0).sum())
    assert main(["--own-rates", "--minutes", "4", "--kinds", "sparse_sampling"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"1 traces, {count} readings"
    by_reading, by_trace = (line.split()[1:] for line in lines[2:4])
    assert by_reading == by_trace
    assert lines[4].startswith("dearest: sparse_sampling/0")
