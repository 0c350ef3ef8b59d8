import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import kstest

from sensors.sim.boiloff import BurstLaw, Outgassing, plan_bursts

LAWS = [
    BurstLaw(rate_per_s=0.1, scale_s=1500.0, size_ug=200.0, size_decay_s=4000.0),
    BurstLaw(kind="power", rate_per_s=0.1, scale_s=300.0, beta=0.4, size_ug=200.0),
]


@pytest.mark.parametrize("law", LAWS)
def test_cumulated_rate_and_its_inverse_agree_with_quadrature(law: BurstLaw) -> None:
    for cumulated in (20.0, 60.0, 120.0):
        end_s = law.drying_time_of(cumulated)
        start_s = law.drying_time_of(5.0)
        area, _ = quad(law.rate_at, start_s, end_s)
        assert math.isclose(area, cumulated - 5.0, rel_tol=1e-6)


@pytest.mark.parametrize("law", LAWS)
def test_onsets_are_a_poisson_process_in_cumulated_rate(law: BurstLaw) -> None:
    # Time rescaling: steps of the cumulated rate are exponential with mean one.
    steps: list[float] = []
    for seed in range(20):
        plans = itertools.takewhile(
            lambda plan: plan.drying_s < 3000.0, plan_bursts(law, np.random.default_rng(seed))
        )
        at = [quad(law.rate_at, 0.0, plan.drying_s, limit=200)[0] for plan in plans]
        steps.extend(np.diff(at))
    assert kstest(steps, "expon").pvalue > 0.01


def test_more_regular_than_poisson() -> None:
    law = BurstLaw(rate_per_s=1.0, scale_s=1e9, size_ug=1.0, regularity=4.0)
    plans = itertools.islice(plan_bursts(law, np.random.default_rng(3)), 4000)
    lulls = np.diff([plan.drying_s for plan in plans])
    # A gamma variable of shape k has a coefficient of variation of 1/sqrt(k).
    assert math.isclose(lulls.std() / lulls.mean(), 0.5, rel_tol=0.05)


def test_an_exponential_law_runs_out() -> None:
    law = BurstLaw(rate_per_s=0.1, scale_s=100.0, size_ug=1.0)
    count = len(list(plan_bursts(law, np.random.default_rng(0))))
    assert 1 <= count < 30  # 10 are expected
    assert list(plan_bursts(None, np.random.default_rng(0))) == []


def test_sizes_shrink_as_told() -> None:
    law = BurstLaw(rate_per_s=1.0, scale_s=1e9, size_ug=200.0, size_decay_s=1000.0)
    plans = list(itertools.islice(plan_bursts(law, np.random.default_rng(1)), 3000))
    logs = np.log([plan.mass_kg for plan in plans])
    slope, start = np.polyfit([plan.drying_s for plan in plans], logs, 1)
    assert math.isclose(slope, -1e-3, rel_tol=0.03)
    assert math.isclose(math.exp(start), 200e-9, rel_tol=0.05)


def test_equilibrium_halves_after_its_time() -> None:
    out = Outgassing(equilibrium_pa=80.0, decay_s=100.0, conductance_m3_s=1e-5)
    assert [out.equilibrium_at(u) for u in (0.0, 100.0, 300.0)] == [80.0, 40.0, 20.0]
