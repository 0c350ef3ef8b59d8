"""A job damaged in the middle: it opens to read with what can be read, and is not added to."""

import json
import os
from pathlib import Path

import pytest

from app.cli import main
from app.jobfile.new import new_job
from app.jobfile.readings import encode_readings
from app.jobfile.rows import READINGS
from app.jobfile.writer import JobWriter
from app.recording import load
from sensors.events import Reading

BLOCKS, IN_BLOCK = 120, 40


@pytest.fixture
def damaged(tmp_path: Path) -> Path:
    """Some thousand readings on many pages, one page of them overwritten."""
    job = new_job(tmp_path, name="damaged.simmerdown", title="Invented van")
    with JobWriter(job) as writer:
        for block in range(BLOCKS):
            first_s = 0.5 * IN_BLOCK * block
            readings = (Reading(first_s + 0.5 * at, 60.0 + at % 5) for at in range(IN_BLOCK))
            writer.append(READINGS, encode_readings(readings))
        writer.commit()
    with job.open("rb+") as file:
        file.seek(job.stat().st_size // 8192 * 4096)
        file.write(os.urandom(4096))
    return job


def test_what_can_be_read_is_exported_and_printed(
    damaged: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = damaged.read_bytes()
    assert main(["verify", str(damaged)]) == 2
    assert "row" in capsys.readouterr().err
    assert main(["export", str(damaged), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert not told["is_whole"]
    assert BLOCKS * IN_BLOCK - 600 < told["samples"] < BLOCKS * IN_BLOCK
    assert len(load(Path(told["readings"])).series.time_s) == told["samples"]
    assert main(["report", str(damaged)]) == 0
    assert damaged.with_suffix(".pdf").stat().st_size > 10_000
    assert damaged.read_bytes() == data


@pytest.mark.parametrize("command", [["analyse"], ["hold"], ["watch", "sim:wet", "--job"]])
def test_where_all_of_it_is_needed_one_sentence_says_what_to_do(
    damaged: Path, command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    data = damaged.read_bytes()
    assert main([*command, str(damaged)]) == 2
    said = capsys.readouterr().err.splitlines()[-1]
    assert "is damaged" in said
    assert "export" in said
    assert damaged.read_bytes() == data
