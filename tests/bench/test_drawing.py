"""The drawing bench runs; long runs are drawn in the time of short ones."""

import pytest

from tests.bench.drawing import Bench, frame_times, main


def test_prints_its_table(capsys: pytest.CaptureFixture[str], qapp: object) -> None:
    options = ["--most", "20000", "--rounds", "2", "--hours", "0.2", "--seconds", "2"]
    assert main(options) == 0
    printed = capsys.readouterr().out
    assert "20000 readings" in printed
    assert "% of a core" in printed


@pytest.mark.slow
def test_five_million_readings_cost_little_more_than_ten_thousand(qapp: object) -> None:
    """Wide margins: 4 and 1.3 are aimed at, and printed by the bench; a busy machine wavers."""
    bench = Bench()
    painters = {
        "empty": bench.run_chart(0),
        "few": bench.run_chart(10_000),
        "many": bench.run_chart(5_000_000),
    }
    times = frame_times(painters, 100)
    bench.close()
    assert times["many"] < 6.0 * times["empty"]
    assert times["many"] < 2.0 * times["few"]
