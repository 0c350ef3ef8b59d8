import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.flat.forecast import FlatForecast
from analysis.flat.history import History
from analysis.snapshot import FlatEstimate
from tests.bench.boil_off import BoilOff, draw
from tests.bench.forecast import play


def _middling(law: str = "exponential") -> BoilOff:
    """Give a run with some hundred bursts."""
    for seed in range(1000):
        boil_off = draw(np.random.default_rng(seed), law=law)
        if 150 < np.count_nonzero(boil_off.onset_s < boil_off.flat_s) < 400:
            return boil_off
    raise AssertionError("no such run")


def _numbers(estimate: FlatEstimate) -> list[float]:
    values = [estimate.flat_at_s, estimate.flat_low_s, estimate.flat_high_s, estimate.lull_s]
    values.append(estimate.flat_probability)
    for point in estimate.curve:
        values += [point.time_s, point.low_s, point.best_s, point.high_s]
    return [v for v in values if v is not None]


def test_a_burst_under_the_smallest_visible_one_is_none() -> None:
    """Flat is a rate of visible bursts; a mark may fall short of five noises by a fifth."""
    forecasts = FlatForecast(), FlatForecast()
    for time_s in range(900):
        for forecast, rise_pa in zip(forecasts, (1.0, 0.99), strict=True):
            forecast.observe(float(time_s), 1.0, True)
            if time_s % 100 == 50:
                forecast.add_burst(time_s - 5.0, 3.0, 1.0)
            if time_s % 100 == 80:
                forecast.add_burst(time_s - 5.0, rise_pa, 1.0)
    least, under = (forecast.estimate(900.0) for forecast in forecasts)
    assert least.why is not None
    assert under.why is not None
    assert (least.why.values["bursts"], under.why.values["bursts"]) == (18, 9)


def test_too_few_bursts_are_said_so() -> None:
    forecast = FlatForecast()
    for time_s in range(100):
        forecast.observe(float(time_s), 1.0, True)
    forecast.add_burst(50.0, 3.0, 1.0)
    estimate = forecast.estimate(100.0)
    assert estimate.flat_at_s is estimate.flat_low_s is estimate.flat_high_s is None
    assert estimate.why is not None
    assert estimate.why.code == "too-few-bursts"
    assert dict(estimate.why.values) == {"bursts": 1, "needed": 2}


def test_nothing_at_all_is_no_error() -> None:
    estimate = FlatForecast().estimate(0.0)
    assert estimate.why is not None
    assert estimate.why.code == "too-few-bursts"


def test_never_having_been_able_to_see_is_said_so() -> None:
    forecast = FlatForecast()
    for time_s in range(0, 600, 60):
        forecast.observe(float(time_s), None, False)
        forecast.add_burst(float(time_s), 3.0, 1.0)
    estimate = forecast.estimate(600.0)
    assert estimate.why is not None
    assert estimate.why.code == "not-observing"


def test_flat_with_few_bursts_takes_three_intervals_of_quiet() -> None:
    forecast = FlatForecast(flat_interval_s=600.0)
    called_s = None
    for time_s in range(0, 4000, 2):
        if time_s == 200:
            forecast.add_burst(float(time_s), 3.0, 1.0)
        forecast.observe(float(time_s), 1.0, not 1000 <= time_s < 1300)
        if called_s is None and forecast.is_flat(float(time_s)):
            called_s = time_s
    assert called_s == pytest.approx(200 + 1800 + 300, abs=4)


def test_two_bursts_and_quiet_are_answered_and_called_flat_in_time() -> None:
    forecast = FlatForecast(flat_interval_s=600.0)
    called_s, answered_s = None, None
    for time_s in range(0, 4000, 2):
        if time_s in (60, 200):
            forecast.add_burst(float(time_s), 3.0, 1.0)
        forecast.observe(float(time_s), 1.0, True)
        if answered_s is None and forecast.estimate(float(time_s)).why is None:
            answered_s = time_s
        if called_s is None and forecast.is_flat(float(time_s)):
            called_s = time_s
    assert answered_s is not None
    assert 200 < answered_s < 1500
    assert called_s is not None
    assert 1000 < called_s < 3000


@pytest.mark.parametrize("law", ["exponential", "power"])
def test_the_answer_is_whole_ordered_and_near(law: str) -> None:
    boil_off = _middling(law)
    asked: list[FlatEstimate] = []
    play(boil_off, lambda f, t: asked.append(f.estimate(t)), until_s=0.9 * boil_off.flat_s)
    last = asked[-1]
    assert last.why is None
    assert last.flat_low_s is not None
    assert last.flat_at_s is not None
    assert last.flat_high_s is not None
    assert last.flat_low_s <= last.flat_at_s <= last.flat_high_s
    assert abs(math.log(last.flat_at_s / boil_off.flat_s)) < 0.35
    assert 2 <= len(last.curve) <= 33
    assert all(a.time_s < b.time_s for a, b in pairwise(last.curve))
    assert all(p.low_s <= p.best_s <= p.high_s for p in last.curve)
    assert last.lull_s is not None
    assert 60.0 < last.lull_s < 900.0
    for estimate in asked:
        assert np.isfinite(_numbers(estimate)).all()
        said = (estimate.flat_at_s, estimate.flat_low_s, estimate.flat_high_s)
        assert (estimate.why is None) == all(v is not None for v in said)
        assert (estimate.why is None) or all(v is None for v in said)


def test_updates_give_what_one_batch_gives() -> None:
    boil_off = _middling()
    fits: list[tuple[float, FlatEstimate]] = []

    def on_time(forecast: FlatForecast, time_s: float) -> None:
        estimate = forecast.estimate(time_s)
        if not fits or estimate is not fits[-1][1]:
            fits.append((time_s, estimate))

    play(boil_off, on_time, until_s=0.7 * boil_off.flat_s)
    fitted_s, live = fits[-1]
    batch: list[FlatEstimate] = []

    def once(forecast: FlatForecast, time_s: float) -> None:
        if time_s == fitted_s:
            batch.append(forecast.estimate(time_s))

    play(boil_off, once, until_s=0.7 * boil_off.flat_s)
    # Between fits the points of the last one are weighed, and the live answer rests on them.
    told = zip(_numbers(live)[:3], _numbers(batch[0])[:3], strict=True)
    for a, b in told:
        assert a == pytest.approx(b, rel=0.05)


def test_a_fit_is_made_only_when_something_came() -> None:
    rng = np.random.default_rng(4)
    forecast = FlatForecast()
    answers: set[tuple[bool, float | None]] = set()
    chances: list[float] = []
    bursts = (600.0 * -np.log1p(-np.sort(rng.random(80)) * 0.95)).tolist()
    for time_s in np.arange(0.0, 7200.0, 1.0).tolist():
        while bursts and bursts[0] <= time_s:
            forecast.add_burst(bursts.pop(0), float(rng.lognormal(2, 0.5)), 1.0)
        forecast.observe(time_s, 1.0, time_s < 3600.0)
        estimate = forecast.estimate(time_s)
        answers.add((time_s >= 3800.0, estimate.flat_at_s))
        chances.append(estimate.flat_probability or 0.0)
    blind = {answer for is_blind, answer in answers if is_blind}
    assert len(blind) == 1  # nothing watched, nothing new
    assert chances[-1] > chances[3800] > 0.0  # but the moment of flat draws nearer
    assert 10 < len(answers) < 45


def test_a_time_shift_leaves_the_answer_unchanged() -> None:
    def run(shift_s: float) -> FlatEstimate:
        rng = np.random.default_rng(4)
        forecast = FlatForecast()
        bursts = (600.0 * -np.log1p(-np.sort(rng.random(80)) * 0.95)).tolist()
        for time_s in np.arange(0.0, 1800.0, 1.0).tolist():
            while bursts and bursts[0] <= time_s:
                forecast.add_burst(shift_s + bursts.pop(0), float(rng.lognormal(2, 0.5)), 1.0)
            forecast.observe(shift_s + time_s, 1.0, True)
        return forecast.estimate(shift_s + 1800.0)

    here, there = run(0.0), run(1e6)
    assert here.flat_at_s is not None
    assert there.flat_at_s is not None
    assert there.flat_at_s - 1e6 == pytest.approx(here.flat_at_s, rel=1e-6)


def test_a_new_pull_starts_from_nothing() -> None:
    boil_off = _middling()
    forecast = play(boil_off, lambda f, t: None, until_s=0.7 * boil_off.flat_s)
    assert forecast.estimate(0.7 * boil_off.flat_s).why is None
    forecast.restart(0.7 * boil_off.flat_s)
    again = forecast.estimate(0.7 * boil_off.flat_s + 1.0)
    assert again.why is not None
    assert again.why.code == "too-few-bursts"


def test_dead_time_is_not_taken_for_a_lull() -> None:
    def run(blind_from_s: float, *, told: bool) -> float:
        rng = np.random.default_rng(9)
        forecast = FlatForecast()
        bursts = (1500.0 * -np.log1p(-np.sort(rng.random(300)) * 0.93)).tolist()
        for time_s in np.arange(0.0, 3600.0, 1.0).tolist():
            is_blind = time_s >= blind_from_s
            while bursts and bursts[0] <= time_s:
                onset_s = bursts.pop(0)
                if not is_blind:
                    forecast.add_burst(onset_s, float(rng.lognormal(2, 0.5)), 1.0)
            forecast.observe(time_s, 1.0, not (is_blind and told))
        answer = forecast.estimate(3600.0).flat_at_s
        assert answer is not None
        return answer

    seen, blind, deceived = run(3600.0, told=True), run(2700.0, told=True), run(2700.0, told=False)
    assert blind == pytest.approx(seen, rel=0.2)
    assert deceived < 0.8 * seen


def test_history_moves_an_early_answer_and_hardly_a_late_one() -> None:
    boil_off = _middling()
    differences = []
    for share in (0.3, 0.9):
        until_s = share * boil_off.flat_s
        answers = []
        for history in (History(days_open=0.0), History(days_open=60.0)):
            forecast = play(boil_off, lambda f, t: None, until_s=until_s, history=history)
            answer = forecast.estimate(until_s).flat_at_s
            assert answer is not None
            answers.append(math.log(answer))
        differences.append(answers[1] - answers[0])
    assert differences[0] > 3.0 * abs(differences[1])
    assert abs(differences[1]) < 0.05


def test_a_past_told_late_counts_as_one_told_early() -> None:
    boil_off = _middling()
    until_s = 0.3 * boil_off.flat_s
    wet = History(days_open=60.0)
    early = play(boil_off, lambda f, t: None, until_s=until_s, history=wet)
    late = play(boil_off, lambda f, t: (f.estimate(t), None)[1], until_s=until_s)
    before = late.estimate(until_s).flat_at_s
    late.set_history(wet)
    after = late.estimate(until_s).flat_at_s
    assert before is not None
    assert after is not None
    assert after > 1.01 * before
    assert after == pytest.approx(early.estimate(until_s).flat_at_s, rel=0.005)


def test_odd_bursts_break_nothing() -> None:
    forecast = FlatForecast()
    for time_s in range(1200):
        if time_s % 40 == 0:
            forecast.add_burst(float(time_s), 0.5, 1.0)  # smaller than could be seen
            forecast.add_burst(float(time_s), 1e9, 1.0)  # at the same moment, enormous
        forecast.observe(float(time_s), 1.0, True)
    assert np.isfinite(_numbers(forecast.estimate(1200.0))).all()


_STEP = st.tuples(
    st.sampled_from(["watch", "blind", "burst", "late burst", "restart"]),
    st.floats(0.0, 400.0),
    st.floats(1e-6, 1e6),
    st.floats(1e-3, 1e3),
)


@settings(max_examples=20, deadline=None)
@given(steps=st.lists(_STEP, min_size=20, max_size=120), repeats=st.integers(1, 8))
def test_whatever_comes_the_answer_is_whole(
    steps: list[tuple[str, float, float, float]], repeats: int
) -> None:
    forecast, time_s = FlatForecast(), 0.0
    for kind, step_s, rise_pa, smallest_pa in steps * repeats:
        time_s += min(step_s, 20.0) if kind == "watch" else step_s
        if kind in ("watch", "blind"):
            forecast.observe(time_s, smallest_pa, kind == "watch")
        elif kind == "restart":
            if rise_pa > 1e5:
                forecast.restart(time_s)
        else:
            forecast.add_burst(time_s - (50.0 if kind == "late burst" else 0.0), rise_pa, 1.0)
        estimate = forecast.estimate(time_s)
        assert np.isfinite(_numbers(estimate)).all()
        assert (estimate.why is None) == (estimate.flat_at_s is not None)


def test_the_flat_interval_must_be_positive() -> None:
    for wrong in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(ValueError, match="flat_interval_s"):
            FlatForecast(flat_interval_s=wrong)
