"""How a CSV file may end."""

import numpy as np
import pytest

from sensors.csv_file import parse_csv


@pytest.mark.parametrize("end", ["", "\n", "\n\n", "\n \t\n", "\n  ", "\r\n\t\r\n\n \n"])
def test_empty_lines_and_lines_of_blanks_may_end_a_file(end: str) -> None:
    assert parse_csv(b"time_s,pressure_pa\n0,5\n1,6" + end.encode()).pressure_pa.tolist() == [5, 6]
    with_tabs = "time_s\tpressure_pa\ttemperature_c\n0\t5\t20\n1\t6\t" + end
    series = parse_csv(with_tabs.encode())
    assert series.pressure_pa.tolist() == [5, 6]
    assert series.temperature_c is not None
    assert np.isnan(series.temperature_c).tolist() == [False, True]
