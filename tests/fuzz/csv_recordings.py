"""CSV recordings from anywhere: the reader refuses with a line number, or the arrays are sound."""

import numpy as np
from hypothesis import strategies as st

from sensors.csv_careful import read_carefully
from sensors.csv_columns import parse_header
from sensors.csv_fast import read_fast
from sensors.csv_file import LONGEST_LINE, parse_csv
from tests.fuzz.mangle import seeded, variants
from tests.fuzz.target import Outcome, Target, check_sentence

_NAMES = [
    "time_s", "time", "pressure_pa", "pressure_micron", "pressure_inhg", "temperature_c",
    "TIME_S", "pressure", "pressure_psig", '"time_s"', " time ", "\x1b[2J", "x" * 5000, "",
]  # fmt: skip
_CELLS = [
    "0", "1", "1.5", "1,5", "-1", "-0", "1e3", "1e308", "1e400", "9" * 400, "nan", "inf", "1_000",
    "٣", "", " ", '"2"', '"', "\x1b[31m", "é", "x" * 5000, ".5", "5.", ".", "+1", "1e12", "2e12",
    "-300", "21.5", "2026-01-31T08:30:00Z", "2026-01-31", "2026-01-31T08:30:00.5+01:00",
    "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", "0001-01-01", "9999-12-31T23:59:59",
    "2026-W05-1", "20260131T083000", "2026-01-31T08:30:00+23:59:59.999999", "24:00", "1e-320",
]  # fmt: skip
_separator = st.sampled_from([",", ";", "\t"])
_any_number = st.floats().map(repr)


@st.composite
def _written(draw: st.DrawFn) -> bytes:
    """Rising times and calm pressures, with a few cells and names that are neither."""
    separator = draw(_separator)
    is_iso = draw(st.booleans())
    names = ["time" if is_iso else "time_s", draw(st.sampled_from(_NAMES[2:5])), "temperature_c"]
    names = names[: draw(st.integers(2, 3))]
    rows = []
    for at in range(draw(st.integers(1, 8))):
        time = f"2026-01-31T08:{at:02d}:00.25Z" if is_iso else f"{at / 4}"
        rows.append([time, f"{500 - at}.5", f"{20 + at}"][: len(names)])
    table = [names, *rows]
    for _ in range(draw(st.integers(0, 2))):
        cell = draw(st.one_of(st.sampled_from(_CELLS + _NAMES), _any_number, st.text(max_size=6)))
        draw(st.sampled_from(table))[draw(st.integers(0, len(names) - 1))] = cell
    if not draw(st.integers(0, 4)):
        draw(st.sampled_from(table)).append(draw(st.sampled_from(_CELLS)))
    end = draw(st.sampled_from(["\n", "\n", "\r\n", "\r"]))
    text = end.join(separator.join(line) for line in table)
    encoding = draw(st.sampled_from(["utf-8", "utf-8", "utf-8", "utf-8-sig", "utf-16", "latin-1"]))
    return text.encode(encoding, "replace")


def _sound(time: str, pressure: str, rows: int) -> bytes:
    lines = [f"{time};{pressure};temperature_c"]
    lines += [f"{row / 10};{500 - row};{20 + row / 8}" for row in range(rows)]
    return "\n".join(lines).encode()


_seeds = st.sampled_from([_sound("time_s", "pressure_micron", n) for n in (1, 5, 40)])
INPUTS = seeded(st.one_of(_written(), _seeds, _written(), _seeds, st.binary(max_size=200)))


def use(data: bytes) -> Outcome:
    """Read it; both ways of reading agree wherever the fast one vouches for it."""
    _check_agreement(data)
    try:
        series = parse_csv(data)
    except ValueError as error:
        _check_names_line(str(error))
        return "refused"
    count = len(series.time_s)
    assert count >= 1
    assert len(series.pressure_pa) == count
    assert np.isfinite(series.time_s).all()
    assert (np.diff(series.time_s) >= 0).all()
    assert np.isfinite(series.pressure_pa).all()
    assert (series.pressure_pa >= 0).all()
    if series.temperature_c is not None:
        assert len(series.temperature_c) == count
        assert not np.isinf(series.temperature_c).any()
    return "read"


def _check_names_line(text: str) -> None:
    check_sentence(text)
    assert text.startswith("line "), f"no line is named: {text}"


def _check_agreement(data: bytes) -> None:
    header, _, body = data.decode("utf-8", "replace").partition("\n")
    body = body.rstrip("\n")
    try:
        columns = parse_header(header)
    except ValueError:
        return
    fast = read_fast(body, columns, LONGEST_LINE)
    if fast is None:
        return
    careful = read_carefully(body, columns, LONGEST_LINE)
    assert np.array_equal(fast.time_s, careful.time_s)
    assert np.array_equal(fast.pressure_pa, careful.pressure_pa)
    assert fast.first_since_epoch == careful.first_since_epoch
    if fast.temperature_c is not None:
        assert careful.temperature_c is not None
        assert np.array_equal(fast.temperature_c, careful.temperature_c)


TARGET = Target("csv", INPUTS, use, examples=60, spread=variants)
