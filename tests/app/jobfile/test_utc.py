from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.jobfile.errors import JobFileError
from app.jobfile.utc import parse_utc, utc_now, utc_text


@given(st.datetimes(min_value=datetime(1000, 1, 2), timezones=st.just(UTC)))
def test_a_moment_comes_back_to_the_millisecond(moment: datetime) -> None:
    assert timedelta(0) <= moment - parse_utc(utc_text(moment)) < timedelta(milliseconds=1)


def test_other_zones_are_turned_into_utc() -> None:
    moment = datetime(2030, 1, 31, 1, 5, tzinfo=timezone(timedelta(hours=5)))
    assert utc_text(moment) == "2030-01-30T20:05:00.000Z"


def test_now_is_aware() -> None:
    assert utc_now().utcoffset() == timedelta(0)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2030-01-31",
        "2030-01-31T09:05:00Z",
        "2030-01-31T09:05:00.000",
        "2030-01-31T09:05:00.000+00:00",
        "2030-13-31T09:05:00.000Z",
        "٢030-01-31T09:05:00.000Z",
        " 2030-01-31T09:05:00.000Z",
    ],
)
def test_any_other_form_is_refused(text: str) -> None:
    with pytest.raises(JobFileError, match="no UTC time"):
        parse_utc(text)
