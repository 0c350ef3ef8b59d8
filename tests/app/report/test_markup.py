import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.report.events import kept
from app.report.markup import event_rows, plain, safe
from app.report.page_text import Event
from app.words.display import NO_BREAK


@given(st.text(), st.integers(2, 60))
def test_a_strangers_text_becomes_one_short_line(text: str, most: int) -> None:
    made = plain(text, most)
    assert len(made) <= most
    assert made.replace(NO_BREAK, " ").isprintable()


@given(st.text(alphabet="<>&\"'a "))
def test_nothing_of_html_gets_through(text: str) -> None:
    made = safe(text, 40)
    assert not set("<>\"'") & set(made)


def test_accents_do_not_pile_up() -> None:
    assert plain("e" + "\u0321\u0322\u0327\u0328" * 50, 400) == plain("e\u0321\u0322", 400)


def event(rank: int, time_s: float) -> Event:
    return Event(time_s, "", "", "", rank)  # type: ignore[arg-type]


@pytest.mark.parametrize("most", [1, 2, 5, 9])
def test_the_weightiest_events_are_kept_in_order(most: int) -> None:
    rows = tuple(event(at % 3, float(at)) for at in range(30))
    shown, left = kept(rows, most)
    assert len(shown) == most - 1  # the last line says how many are left
    assert left == 30 - len(shown)
    assert [row.time_s for row in shown] == sorted(row.time_s for row in shown)
    assert max((row.rank for row in shown), default=0) == 0


def test_of_equal_weight_the_later_ones_are_kept() -> None:
    rows = tuple(event(0, float(at)) for at in range(30))
    assert [row.time_s for row in kept(rows, 5)[0]] == [26.0, 27.0, 28.0, 29.0]


def test_the_day_stands_where_another_one_begins() -> None:
    days = ("2030-01-31", "2030-01-31", "2030-02-01")
    rows = [replace(event(0, float(at)), local="09:05", date=day) for at, day in enumerate(days)]
    told = [re.findall(r"[0-9-]+\u00a009:05|09:05", row) for row in event_rows(rows, 40)]
    assert told == [["2030-01-31\u00a009:05"], ["09:05"], ["2030-02-01\u00a009:05"]]


def test_a_short_list_is_kept_whole() -> None:
    rows = tuple(event(2, float(at)) for at in range(5))
    assert kept(rows, 5) == (rows, 0)
