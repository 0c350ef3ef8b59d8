"""The time axis of a job over days: whole, in order, and with room for what was measured."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.jobfile.rows import Gap
from app.report.folds import folds
from app.report.pdf import make_report
from tests.app.report.conftest import NOW, MakeJob, played
from tests.app.report.printed import text_of

HOUR_S = 3600.0
ends = st.floats(0.0, 100.0 * HOUR_S)


@given(st.lists(st.tuples(ends, ends), max_size=30), st.floats(1.0, 100.0 * HOUR_S))
def test_time_goes_on_evenly_whatever_gaps_there_are(
    gaps: list[tuple[float, float]], until_s: float
) -> None:
    axis = folds(0.0, until_s, gaps)
    places = [axis.place(until_s * n / 50.0) for n in range(51)]
    assert places[0] == pytest.approx(0.0)
    assert places[-1] == pytest.approx(1.0)
    assert places == sorted(places)
    assert sum(share for _, share in axis.shares()) == pytest.approx(1.0)
    assert axis.place(-1.0) < 0.0
    assert axis.place(until_s + 1.0) > 1.0


def test_a_night_takes_little_room_and_a_lunch_break_its_own() -> None:
    night = folds(0.0, 24.0 * HOUR_S, [(2.0 * HOUR_S, 22.0 * HOUR_S)])
    assert night.place(2.0 * HOUR_S) == pytest.approx(0.485)
    assert night.place(22.0 * HOUR_S) == pytest.approx(0.515)
    lunch = folds(0.0, 4.0 * HOUR_S, [(1.0 * HOUR_S, 2.0 * HOUR_S)])
    assert lunch.place(1.0 * HOUR_S) == pytest.approx(0.25)
    assert lunch.place(2.0 * HOUR_S) == pytest.approx(0.5)


def test_the_page_says_that_a_break_is_drawn_short(make_job: MakeJob, tmp_path: Path) -> None:
    items = [*played("wet", 300.0), *played("wet", 300.0, from_s=20.0 * HOUR_S)]
    job = make_job(items, extra=[Gap(300.0, 20.0 * HOUR_S, "no readings")])
    make_report(job, tmp_path / "page.pdf", now=NOW)
    text = text_of(tmp_path / "page.pdf")
    assert "long breaks drawn short" in text
    assert "20:04" in text  # a tick of the second day
