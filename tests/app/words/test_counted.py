"""One of something is told as one."""

import re
from pathlib import Path
from typing import get_args

import pytest

from app.cli import main
from app.words.counted import Counted, counted
from app.words.quality import quality_text
from sensors.quality import QualityReport
from tests.app.commands.test_commands import saved

PLURAL_OF_ONE = re.compile(r"\b1 [a-z]+s\b")


@pytest.mark.parametrize("what", get_args(Counted))
def test_one_is_told_as_one_and_two_are_not(what: Counted) -> None:
    assert not PLURAL_OF_ONE.search(counted(1, what))
    assert counted(1, what) != counted(2, what).replace("2", "1")
    assert "2" in counted(2, what)


def test_a_rate_that_is_written_as_one_is_one() -> None:
    report = QualityReport(100, 0, 0.9998, None, None, 0.0, False)
    assert quality_text(report, "micron") == "1 reading/s"


def test_analyse_tells_one_burst_with_its_time_and_size(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wet = saved(tmp_path / "wet.csv", "wet", 1200.0)
    lines = wet.read_text().splitlines(keepends=True)
    cut = tmp_path / "cut.csv"
    for count in range(40, len(lines), 10):
        cut.write_text("".join(lines[:count]))
        assert main(["analyse", str(cut)]) == 0
        out = capsys.readouterr().out
        if not re.search(r"^0 bursts", out, re.MULTILINE):
            break
    assert re.search(r"^1 burst at 0:\d\d:\d\d, [\d.]+ micron$", out, re.MULTILINE)
    assert not PLURAL_OF_ONE.search(out)
