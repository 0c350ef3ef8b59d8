"""The comparison runs, and the tools it compares with are given a fair chance."""

import numpy as np
import pytest

from tests.bench.accuracy import main
from tests.bench.ours import run
from tests.bench.rivals import rivals
from tests.bench.score import BurstScore, score_bursts, total
from tests.bench.traces import KINDS, Trace, make_trace


def _ours(trace: Trace) -> BurstScore:
    found = run(trace).confirmed
    return score_bursts(trace, [b.onset_s for b in found], [b.rise_pa for b in found])


def test_prints_its_tables(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--kinds", "coarse", "--seeds", "1", "--no-holds"]) == 0
    printed = capsys.readouterr().out
    assert "find_peaks" in printed
    assert "exponential fit to the TRUE bursts" in printed
    assert "nan" not in printed.split("Flat:")[0]


def test_rivals_find_plain_bursts_at_their_best_setting() -> None:
    trace = make_trace("exp_law", 0)
    for name, finder in rivals().items():
        best = max(score_bursts(trace, onset_s).f1 for onset_s in finder(trace).values())
        assert best > 0.6, name


def test_ours_finds_plain_bursts_and_nothing_else() -> None:
    score = total(_ours(make_trace(kind, 0)) for kind in ("exp_law", "none", "stuck"))
    assert score.tp + score.fn > 30
    assert score.f1 > 0.9
    assert 0.9 < float(np.median(score.rise_ratios)) < 1.1
    assert score.false_per_h < 1


@pytest.mark.slow
@pytest.mark.timeout(1200)
def test_ours_is_ahead_of_every_rival_over_all_kinds() -> None:
    sums: dict[tuple[str, tuple[float, ...]], BurstScore] = {}
    ours = BurstScore()
    for kind in KINDS:
        trace = make_trace(kind, 100)
        ours += _ours(trace)
        for name, finder in rivals().items():
            for setting, onset_s in finder(trace).items():
                key = (name, setting)
                sums[key] = sums.get(key, BurstScore()) + score_bursts(trace, onset_s)
    assert ours.f1 > max(score.f1 for score in sums.values())
