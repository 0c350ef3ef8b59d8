"""What is written reads back, and is there whole or not at all."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as npst

from sensors.csv_file import read_csv, write_csv
from sensors.series import Series


@settings(max_examples=30)  # each one waits for the disk
@given(
    npst.arrays(np.float64, st.integers(1, 20), elements=st.floats(-1e7, 1e7)).map(np.sort),
    st.data(),
)
def test_what_is_written_reads_back(
    tmp_path_factory: pytest.TempPathFactory, time_s: np.ndarray, data: st.DataObject
) -> None:
    n = len(time_s)
    pressure_pa = data.draw(npst.arrays(np.float64, n, elements=st.floats(0, 9e6)))
    temperatures = npst.arrays(np.float64, n, elements=st.floats(-200, 500) | st.just(np.nan))
    temperature_c = data.draw(st.none() | temperatures)
    path = tmp_path_factory.getbasetemp() / "back.csv"
    write_csv(path, Series(time_s, pressure_pa, temperature_c))
    series = read_csv(path)
    np.testing.assert_array_equal(series.time_s, time_s)
    np.testing.assert_array_equal(series.pressure_pa, pressure_pa)
    if temperature_c is None:
        assert series.temperature_c is None
    else:
        assert series.temperature_c is not None
        np.testing.assert_array_equal(series.temperature_c, temperature_c)
    write_csv(path, Series(time_s, pressure_pa), "micron")
    np.testing.assert_allclose(read_csv(path).pressure_pa, pressure_pa, rtol=1e-15)


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    good = Series(np.array([0.0]), np.array([5.0]))
    write_csv(path, good)
    before = path.read_bytes()
    with pytest.raises(ValueError, match="argument 2"):
        write_csv(path, Series(np.array([0.0]), np.array([5.0, 6.0])))
    with pytest.raises(ValueError, match="unknown unit"):
        write_csv(path, good, "psi")
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["a.csv"]
