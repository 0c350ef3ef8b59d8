"""A hold as it goes on: the same judgement, in bounded memory."""

import pytest

from analysis.hold.finding import analyse_hold
from analysis.hold.watch import HoldWatch
from tests.analysis.holds_made import LIMIT_PA_S, read, start, times


def test_watching_live_gives_the_same_as_afterwards() -> None:
    t = times(12, 0.3)
    p = read(start(t) + 2 * LIMIT_PA_S * t)
    watch = HoldWatch()
    assert watch.result(0.0) is None
    for time_s, pressure_pa in zip(t.tolist(), p.tolist(), strict=True):
        watch.update(time_s + 50.0, pressure_pa, None)
    live = watch.result(float(t[-1]) + 50.0)
    whole = analyse_hold(t, p)
    assert live is not None
    assert live.finding == whole.finding
    assert live.leak_pa_s is not None
    assert whole.leak_pa_s is not None
    assert live.leak_pa_s.best == pytest.approx(whole.leak_pa_s.best, rel=1e-5)
    assert live.duration_s == pytest.approx(whole.duration_s)


def test_the_watch_does_not_fit_anew_at_every_asking() -> None:
    watch = HoldWatch(refit_s=10.0)
    for second in range(200):
        watch.update(float(second), 30.0, None)
    first = watch.result(199.0)
    watch.update(200.0, 30.0, None)
    assert watch.result(200.0) is first
    assert watch.result(209.5) is not first
    with pytest.raises(ValueError, match="positive"):
        HoldWatch(refit_s=0.0)
