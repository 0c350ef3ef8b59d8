from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.csv_careful import LineError, Rows, read_carefully
from sensors.csv_columns import parse_header
from sensors.csv_fast import read_fast
from sensors.csv_file import LONGEST_LINE, CsvError, parse_csv, read_csv


@pytest.mark.parametrize(
    "text",
    [
        "time_s,pressure_pa\n0,66.5\n0.5,50\n",
        "time_s;pressure_pa\n0;66,5\n0,5;50\n",
        "time_s;pressure_pa\n0;66.5\n0.5;50\n",
        "time_s\tpressure_pa\n0\t66,5\n0,5\t50",
        "\ufefftime_s,pressure_pa\r\n0,66.5\r\n0.5,50\r\n",
        "pressure_hpa,time_s\n.665,0\n+5.0E-1,0.5\n\n\n",
        ' Time_s , "Pressure_Pa"\n"0", 66.5\n 0.5,"50"\n',
        "time_s,pressure_mbar\r0,.665\r0.5,.5\r",
    ],
)
def test_the_same_recording_in_many_dresses(text: str) -> None:
    series = parse_csv(text.encode())
    assert series.time_s.tolist() == [0, 0.5]
    assert series.pressure_pa == pytest.approx([66.5, 50])
    assert series.temperature_c is None
    assert series.start_utc is None


def test_utf_16_with_a_byte_order_mark() -> None:
    assert parse_csv("time_s\tpressure_pa\n0\t5\n".encode("utf-16")).pressure_pa.tolist() == [5]


def test_zero_pressure_equal_times_and_any_zero_of_time() -> None:
    series = parse_csv(b"time_s,pressure_pa\n-5,0\n-5,-0\n1.7e6,0.0\n")
    assert series.time_s.tolist() == [-5, -5, 1.7e6]
    assert not np.signbit(series.pressure_pa).any()


@pytest.mark.parametrize(
    ("unit", "pa"),
    # NIST SP 811 (2008), appendix B.8
    [
        ("micron", 0.1333224),
        ("mtorr", 0.1333224),
        ("torr", 133.3224),
        ("inhg", 3386.389),
        ("pa", 1.0),
        ("hpa", 100.0),
        ("kpa", 1000.0),
        ("mbar", 100.0),
    ],
)
def test_all_units(unit: str, pa: float) -> None:
    series = parse_csv(f"time_s,pressure_{unit}\n0,2\n".encode())
    assert series.pressure_pa[0] == pytest.approx(2 * pa, rel=1e-6)


def test_temperature_with_and_without_empty_cells() -> None:
    full = parse_csv(b"time_s,pressure_pa,temperature_c\n0,5,21.5\n1,5,-3\n").temperature_c
    assert full is not None
    assert full.tolist() == [21.5, -3]
    holed = parse_csv(b"time_s,temperature_c,pressure_pa\n0,,5\n1,7,5\n").temperature_c
    assert holed is not None
    np.testing.assert_array_equal(holed, [np.nan, 7])


@pytest.mark.parametrize(
    "times",
    [
        ("2026-01-31T08:30:00Z", "2026-01-31T08:30:01.25Z"),
        ("2026-01-31 08:30:00", "2026-01-31 08:30:01.250"),
        ("2026-01-31T10:30:00+02:00", "20260131T083001.250Z"),
    ],
)
def test_iso_times(times: tuple[str, str]) -> None:
    series = parse_csv(f"time,pressure_pa\n{times[0]},5\n{times[1]},6\n".encode())
    assert series.time_s.tolist() == [0, 1.25]
    assert series.start_utc == datetime(2026, 1, 31, 8, 30, tzinfo=UTC)


_HEAD = "time_s,pressure_pa\n"


@pytest.mark.parametrize(
    ("text", "line", "expected"),
    [
        ("", 1, "header row"),
        ("\n", 1, "header row"),
        ("0,5\n1,6\n", 1, "header row"),
        ("time_s,pressure_pa", 2, "at least one"),
        (_HEAD, 2, "at least one"),
        (_HEAD + "\n \n", 2, "at least one"),
        ("time_s\n0\n", 1, "pressure_UNIT"),
        ("pressure_pa\n0\n", 1, "time_s"),
        ("time,time_s,pressure_pa\n", 1, "exactly one of time_s and time"),
        ("time_s,pressure_pa,pressure_mbar\n0,1,1\n", 1, "exactly one pressure_UNIT"),
        ("time_s,pressure_pa,pressure_pa\n0,1,1\n", 1, "exactly one pressure_UNIT"),
        ("time_s,pressure_psig\n0,1\n", 1, "micron"),
        ("time_s,pressure\n0,1\n", 1, "pressure_UNIT"),
        ("time_s,pressure_pa,note\n0,1,x\n", 1, "'note'"),
        ("time_s,pressure_pa,\n0,1,\n", 1, "column 3 of 3 has no name"),
        ("time_s,pressure_pa,temperature_c,temperature_c\n", 1, "at most one"),
        (_HEAD + "0,5\n1,nan\n", 3, "finite number"),
        (_HEAD + "0,5\n1,inf\n", 3, "finite number"),
        (_HEAD + "0,1e999\n", 2, "finite number"),
        (_HEAD + "0,5\n1,\n", 3, "expected a number"),
        (_HEAD + "0,-0.1\n", 2, "absolute"),
        (_HEAD + "nan,5\n", 2, "finite number"),
        (_HEAD + "1e300,5\n", 2, "seconds"),
        (_HEAD + "1,5\n0.9,5\n", 3, "order"),
        (_HEAD + "0,5\n\n1,5\n", 3, "empty line"),
        (_HEAD + "0,5\n \t \n1,5\n", 3, "empty line"),
        (_HEAD + "\n0,5\n", 2, "empty line"),
        ("time_s\tpressure_pa\n0\t5\n\t\n1\t5\n", 3, "empty line"),
        (_HEAD + "0,5,6\n", 2, "expected 2"),
        (_HEAD + "0\n", 2, "expected 2"),
        (_HEAD + "0,5\n1,5\n# end\n", 4, "expected 2"),
        (_HEAD + "0,5_0\n", 2, "finite number"),
        (_HEAD + "0,\N{ARABIC-INDIC DIGIT FIVE}\n", 2, "finite number"),
        (_HEAD + "0,0x5\n", 2, "finite number"),
        (_HEAD + "0,1,5\n", 2, "expected 2"),
        ("time_s;pressure_pa\n0;1.000,5\n", 2, "finite number"),
        (_HEAD + "0,5\n1,\0\n", 3, "text"),
        (_HEAD + "0," + "0" * 5000 + "\n", 2, "4096"),
        ("x" * 5000, 1, "4096"),
        ("time,pressure_pa\nyesterday,5\n", 2, "ISO 8601"),
        ("time,pressure_pa\n0.5,5\n", 2, "ISO 8601"),
        ("time,pressure_pa\n2026-01-31T08:30:01Z,5\n2026-01-31T08:30:00Z,5\n", 3, "order"),
        ("time_s,pressure_pa,temperature_c\n0,5,-300\n", 2, "Celsius"),
        ("time_s,pressure_pa,temperature_c\n0,5,warm\n", 2, "finite number"),
        ("time_s,pressure_kpa\n0,1e308\n", 2, "over 100 bar"),
        (_HEAD + "0,5\n1,1e300\n", 3, "over 100 bar"),
        (_HEAD + "0,5\n1,10000000.1\n2,5\n", 3, "over 100 bar"),
        (_HEAD + "0,5\n1,-5\n", 3, "absolute"),
        (_HEAD + "0,5\n1e18,5\n", 3, "seconds"),
        (_HEAD + "0,5\n1,5\n1e8,5\n", 4, "more than a year"),
        ("time_s,pressure_pa,temperature_c\n0,5,20\n1,5,1e300\n", 3, "over 1000"),
        ("time_s,pressure_pa,temperature_c\n0,5,\n1,5,1e6\n", 3, "over 1000"),
    ],
)
def test_refused_with_the_line_and_what_was_expected(
    tmp_path: Path, text: str, line: int, expected: str
) -> None:
    path = tmp_path / "recording.csv"
    path.write_text(text, encoding="utf-8", newline="")
    with pytest.raises(CsvError) as caught:
        read_csv(path)
    sentence = str(caught.value)
    assert f"line {line}:" in sentence
    assert expected in sentence
    assert str(path) in sentence
    assert "\n" not in sentence.replace(str(path), "")


def test_binary_and_missing_files(tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    with pytest.raises(CsvError, match="No such file"):
        read_csv(path)
    with pytest.raises(CsvError, match="directory"):
        read_csv(tmp_path)
    path.write_bytes(b"time_s,pressure_pa\n0,5\n\x80\xff\n")
    with pytest.raises(CsvError, match="line 3: the bytes are no text"):
        read_csv(path)


@given(st.binary(max_size=200), st.sampled_from([b"", b"time_s,pressure_pa\n", b"\xff\xfe"]))
def test_any_bytes_are_a_recording_or_a_value_error(data: bytes, start: bytes) -> None:
    try:
        series = parse_csv(start + data)
    except ValueError:
        return
    assert np.isfinite(series.pressure_pa).all()
    assert (np.diff(series.time_s) >= 0).all()


_ODD = '0|1|2.5|1e3|-0|-1|nan|inf|1e999|| 3|4 |"5"|1_0|x|2,5|\t|٣|1.|.5|+7|1e13|-300|7\x0b'
_CELLS = st.sampled_from([*_ODD.split("|"), "2026-01-01", "12:00", "1e308"])
_GOOD = st.floats(0, 1e6).map(repr)


@given(
    st.lists(st.lists(_CELLS | _GOOD, min_size=1, max_size=4), min_size=1, max_size=6),
    st.sampled_from(
        [
            "time_s,pressure_pa",
            "time_s;pressure_kpa;temperature_c",
            "pressure_inhg\ttime_s",
            "time;pressure_pa",
        ]
    ),
)
def test_the_fast_way_agrees_with_the_careful_one(rows: list[list[str]], header: str) -> None:
    columns = parse_header(header)
    body = "\n".join(columns.separator.join(row) for row in rows)
    _agree(body, header)


@given(st.data(), st.booleans())
def test_they_agree_on_files_with_one_fault(data: st.DataObject, is_iso: bool) -> None:
    n = data.draw(st.integers(1, 8))
    zero = datetime(2026, 1, 31, tzinfo=UTC)
    seconds = sorted(data.draw(st.lists(st.integers(0, 10**9), min_size=n, max_size=n)))
    times = [
        (zero + timedelta(microseconds=s)).isoformat() if is_iso else repr(s / 1e6) for s in seconds
    ]
    lines = [f"{time};{data.draw(_GOOD)};{data.draw(_CELLS | _GOOD)}" for time in times]
    body = "\n".join(lines)
    at = data.draw(st.integers(0, len(body)))
    cut = data.draw(st.integers(0, 2))
    body = (
        body[:at]
        + data.draw(st.sampled_from(["", ";", "\n", "-", "e", ",", "9"]))
        + body[at + cut :]
    )
    _agree(body, ("time" if is_iso else "time_s") + ";pressure_micron;temperature_c")


def _agree(body: str, header: str) -> None:
    columns = parse_header(header)
    fast = read_fast(body, columns, LONGEST_LINE)
    try:
        careful: Rows | None = read_carefully(body, columns, LONGEST_LINE)
    except LineError:
        careful = None
    if fast is None:
        return
    assert careful is not None
    assert fast.first_since_epoch == careful.first_since_epoch
    np.testing.assert_array_equal(fast.time_s, careful.time_s)
    np.testing.assert_array_equal(fast.pressure_pa, careful.pressure_pa)
    if careful.temperature_c is None:
        assert fast.temperature_c is None
    else:
        assert fast.temperature_c is not None
        np.testing.assert_array_equal(fast.temperature_c, careful.temperature_c)


@pytest.mark.parametrize("head", ["time_s,pressure_pa", "time,pressure_pa"])
def test_a_clean_file_of_several_blocks_goes_the_fast_way(head: str) -> None:
    n = 80_000
    zero = datetime(2026, 1, 31, tzinfo=UTC)
    is_iso = head.startswith("time,")
    times = [
        (zero + timedelta(seconds=at / 5)).isoformat() if is_iso else f"{at / 5:.1f}"
        for at in range(n)
    ]
    body = "\n".join(f"{time},{at % 977}.500000" for at, time in enumerate(times))
    assert len(body) > 1 << 20
    rows = read_fast(body, parse_header(head), LONGEST_LINE)
    assert rows is not None
    np.testing.assert_allclose(rows.time_s, np.arange(n) / 5, rtol=0, atol=1e-6)
    np.testing.assert_array_equal(rows.pressure_pa, np.arange(n) % 977 + 0.5)
    _agree(body[: 1 << 17].rpartition("\n")[0], head)
    broken = body + "\n0,-1"
    assert read_fast(broken, parse_header(head), LONGEST_LINE) is None
