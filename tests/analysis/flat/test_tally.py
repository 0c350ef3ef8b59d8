import numpy as np
import pytest

from analysis.flat.tally import BurstTally


def _run(until_s: float, bursts: list[float], *, told_after_s: float = 0.0) -> BurstTally:
    tally = BurstTally()
    waiting = list(bursts)
    for time_s in np.arange(0.0, until_s + 0.5, 1.0).tolist():
        while waiting and waiting[0] + told_after_s <= time_s:
            tally.add(waiting.pop(0), 4.0, 1.0)
        tally.observe(time_s, 1.0, True)
    return tally


def test_all_watched_time_and_every_burst_is_counted() -> None:
    tally = _run(5000.0, [100.0, 140.0, 900.0, 2500.0])
    table = tally.table()
    assert table.count.sum() == 3  # the first one starts the clock
    assert table.watched_s.sum() + tally.delay_s == pytest.approx(4900.0, abs=1.5)
    assert table.log_rise.sum() == pytest.approx(3 * np.log(4.0))
    assert table.log_rise_squared.sum() == pytest.approx(3 * np.log(4.0) ** 2)
    assert (np.diff(table.since_s) > 0.0).all()
    assert table.since_s[-1] <= 4900.0


def test_dead_time_gaps_and_blind_time_do_not_count() -> None:
    tally = BurstTally()
    tally.observe(0.0, 1.0, True)
    tally.add(0.0, 4.0, 1.0)
    for time_s in range(1, 101):
        tally.observe(float(time_s), 1.0, time_s <= 40 or time_s > 60)
    tally.observe(400.0, 1.0, True)  # nobody told of this gap
    tally.observe(401.0, None, True)
    tally.observe(402.0, 1.0, True)
    assert tally.table().watched_s.sum() + tally.delay_s == pytest.approx(81.0)


def test_the_untold_part_of_the_latest_time_is_taken_off() -> None:
    prompt = _run(2000.0, [100.0 * i for i in range(1, 20)])
    late = _run(2000.0, [100.0 * i for i in range(1, 20)], told_after_s=40.0)
    assert late.delay_s == pytest.approx(35.2, abs=1.0)  # three guesses of 5 s among them
    missing = prompt.table().watched_s.sum() - late.table().watched_s.sum()
    assert missing == pytest.approx(late.delay_s - prompt.delay_s, abs=2.0)


@pytest.mark.parametrize("shape", [0.5, 1.0, 2.0, 4.0])
def test_dispersion_of_gamma_lulls_under_a_decline(shape: float) -> None:
    rng = np.random.default_rng(8)
    operational = np.cumsum(rng.gamma(shape, 1.0 / shape, 1500))
    onset_s = -3000.0 * np.log1p(-operational / 2000.0)
    tally = BurstTally()
    for time_s in onset_s[np.isfinite(onset_s)].tolist():
        tally.add(time_s, 4.0, 1.0)
    assert tally.dispersion == pytest.approx(1.0 / shape, rel=0.15)


def test_memory_stays_bounded() -> None:
    tally = BurstTally()
    tally.add(0.0, 4.0, 1.0)
    for time_s in np.arange(0.0, 30 * 3600.0, 20.0).tolist():
        tally.add(time_s, 4.0, 1.0)
        tally.observe(time_s, 1.0, True)
    assert tally.table().since_s.size < 120


def test_coarse_steps_lose_no_burst() -> None:
    tally = BurstTally()
    tally.add(0.0, 4.0, 1.0)
    for time_s in np.arange(20.0, 400.0, 20.0).tolist():
        tally.observe(time_s, 1.0, True)
        if time_s in (40.0, 140.0):
            tally.add(time_s - 12.5, 4.0, 1.0)  # in a bin of 8 s that no step's middle lies in
    assert tally.table().count.sum() == 2


def test_a_burst_told_late_lands_in_its_own_time() -> None:
    tally = _run(3000.0, [0.0])
    tally.add(500.0, 4.0, 1.0)
    table = tally.table()
    index = int(np.argmax(table.count))
    assert table.since_s[index] == pytest.approx(500.0, rel=0.1)
