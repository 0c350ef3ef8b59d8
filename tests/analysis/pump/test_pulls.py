import math
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from analysis.pump.pulls import LEVELS_PA, Pull, PullBook, Reached, compare_pulls

FIRST = Pull(1, 0.0, bursts_lately=20, watched_lately_s=600.0, watched_s=3000.0, bursts=80)


def test_the_levels_are_timed_from_the_last_moment_at_the_top() -> None:
    book = PullBook()
    book.start(0.0)
    for second in range(200):
        pressure_pa = 101325.0 if second < 50 else 101325.0 * math.exp(-(second - 50) / 10.0)
        book.sample(float(second), pressure_pa)
    book.tick(200.0, 1.0, True)
    (pull,) = book.pulls
    # e-folds of ten seconds, counted from 10 kPa; three readings must agree: up to 3 s late.
    for reached in pull.reached:
        due_s = 10.0 * math.log(10e3 / reached.pressure_pa)
        assert due_s <= reached.after_s <= due_s + 4.0
    assert [r.pressure_pa for r in pull.reached] == list(LEVELS_PA)


def test_a_glitch_reaches_nothing_and_breaks_nothing() -> None:
    book = PullBook()
    book.start(0.0)
    for second in range(100):
        assert not book.sample(float(second), 5.0 if second == 50 else 500.0)
    assert not book.sample(100.0, 90e3)
    book.tick(101.0, 1.0, True)
    assert book.pulls[0].lowest_pa == 500.0


def test_some_readings_at_full_scale_break_nothing_and_gas_let_in_does() -> None:
    book = PullBook()
    book.start(0.0)
    for tenth in range(1000):
        assert not book.sample(tenth / 10, 101325.0 if 500 <= tenth < 505 else 500.0)
    broken = [book.sample(100.0 + second, 101325.0) for second in range(20)]
    assert broken.index(True) == 10


def test_a_burst_told_late_counts_in_its_own_minute_and_its_own_pull() -> None:
    book = PullBook()
    book.start(100.0)
    for second in range(1500):
        book.tick(100.0 + second, 1.0, True)
    for onset_s in (1550.0, 1580.0, 1520.0, 200.0, 50.0):  # the last from a pull before
        book.add_burst(onset_s, 4.0)
    (pull,) = book.pulls
    assert pull.bursts == 4
    assert pull.bursts_lately == 3
    assert pull.lull_s == 30.0


def test_pulls_are_compared_by_time_and_rate_and_smallest() -> None:
    first = replace(FIRST, reached=(Reached(1e3, 10.0), Reached(133.0, 90.0)))
    second = replace(
        FIRST,
        number=2,
        bursts_lately=4,
        reached=(Reached(1e3, 8.0),),
        smallest_burst_pa=1.0,
    )
    reasons = compare_pulls(replace(first, smallest_burst_pa=2.0), second)
    assert [r.code for r in reasons] == ["pull-reached", "pull-rarer", "pull-smallest"]
    assert dict(reasons[0].values) == {"pressure_pa": 1e3, "after_s": 8.0, "last_s": 10.0}
    assert [r.code for r in compare_pulls(second, first)][1] == "pull-oftener"


def test_a_few_bursts_more_or_less_are_no_change() -> None:
    reasons = compare_pulls(FIRST, replace(FIRST, bursts_lately=16))
    assert [r.code for r in reasons] == ["pull-as-often"]
    assert compare_pulls(Pull(1, 0.0), Pull(2, 1.0)) == ()


@given(st.lists(st.tuples(st.floats(0.0, 100.0), st.floats(0.0, 1e7)), max_size=60))
def test_odd_readings_do_no_harm(steps: list[tuple[float, float]]) -> None:
    book, time_s = PullBook(), 0.0
    book.start(time_s)
    for wait_s, pressure_pa in steps:
        time_s += wait_s
        if book.sample(time_s, pressure_pa):
            assert book.broken(time_s)
        book.tick(time_s, 1.0, True)
    assert len(book.pulls) <= 8
    for pull in book.pulls:
        assert all(math.isfinite(r.after_s) and r.after_s >= 0.0 for r in pull.reached)
