"""A reading late in a run costs what an early one does, and not much more than a yardstick."""

from statistics import median

import pytest

from analysis.evacuation import Evacuation
from tests.bench.update_cost import chunk_costs, costs_s, main, saw, yardstick_s


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
