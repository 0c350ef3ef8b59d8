"""A job as CSV and JSON: what other programs read of it, and what it says when read again."""

import errno
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from analysis.sample import Mark
from app.cli import main
from app.commands import export
from app.job.rules import JobRules
from app.jobfile.reader import JobReader
from app.jobfile.rows import LinkChange
from sensors.csv_file import read_csv
from sensors.events import Reading
from tests.app.commands.test_commands import run_json
from tests.app.report.conftest import FIELDS, held, played, write_job


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wet circuit with an isolation, a gauge out of its range for a while, and a hold."""
    items: list[Reading | Mark] = [*played("wet", 300.0), Mark(300.2, "valve-closed")]
    items += [
        replace(reading, pressure_pa=20.0 + 0.05 * (reading.time_s - 301.0))
        for reading in played("hold-held", 150.0, from_s=301.0)
        if isinstance(reading, Reading)
    ]
    items.append(Mark(451.6, "valve-opened"))
    items += [Reading(452.0 + second, 1300.0, status="over-range") for second in range(8)]
    items += [
        replace(item, time_s=item.time_s + 460.0) if isinstance(item, Reading | Mark) else item
        for item in held("hold-leak", 200.0)
    ]
    rules = JobRules().note()
    path = tmp_path_factory.mktemp("export") / "visit.simmerdown"
    extra = (LinkChange(0.0, "connected", "/dev/ttyUSB0"), rules)
    return write_job(path, items, fields=FIELDS, extra=extra)


def exported(job: Path, folder: Path, *options: str) -> tuple[Path, dict[str, Any]]:
    folder.mkdir(exist_ok=True)
    assert main(["export", str(job), "--out", str(folder), *options]) == 0
    return folder / "visit.csv", json.loads((folder / "visit.json").read_text("utf-8"))


def test_the_readings_come_back_to_the_last_digit(job: Path, tmp_path: Path) -> None:
    table, told = exported(job, tmp_path)
    series = read_csv(table)
    assert table.read_text().startswith("time_s,pressure_pa\n")
    assert told["samples"] == len(series.time_s)
    assert series.time_s[0] == 0.0
    assert told["readings"] == "visit.csv"
    (span,) = told["out_of_range"]
    assert span["status"] == "over-range"
    assert np.all(series.pressure_pa[span["first"] : span["last"] + 1] == 1300.0)


def test_analysed_again_it_gives_the_same(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, _ = exported(job, tmp_path)
    capsys.readouterr()
    of_job = run_json(["analyse", str(job), "--json"], capsys)
    record = ["--record", str(tmp_path / "visit.json")]
    assert run_json(["analyse", str(table), *record, "--json"], capsys) == of_job
    assert len(of_job["bursts"]) > 5
    assert len(of_job["isolations"]) == 1
    hold = run_json(["hold", str(job), "--json"], capsys)
    assert run_json(["hold", str(table), *record, "--json"], capsys) == hold
    # The readings alone hold the same bursts up to where the first valve was closed.
    alone = run_json(["analyse", str(table), "--json"], capsys)
    early = [burst for burst in of_job["bursts"] if burst["seen_s"] < 290.0]
    assert early
    assert alone["bursts"][: len(early)] == early


def test_the_record_says_what_was_done_and_found(job: Path, tmp_path: Path) -> None:
    _, told = exported(job, tmp_path)
    kinds = [mark["kind"] for mark in told["marks"]]
    assert kinds == ["valve-closed", "valve-opened", "valve-closed", "hold-over"]
    assert [change["state"] for change in told["holds"]] == ["begun", "given-up", "begun", "ended"]
    (finding,) = told["findings"]
    assert finding["finding"] == finding["hold"]["finding"]
    # 2.4 L and R-1234yf stand in the fields, so a leak's loss is told beside it.
    assert finding["hold"]["refrigerant_loss"]["refrigerant"] == "R-1234yf"
    assert told["fields"]["vehicle"] == FIELDS["vehicle"]
    assert told["job"]["is_whole"] is True
    assert len(told["job"]["last_hash"]) == 64
    assert told["job"]["first_reading_utc"].startswith("2030-01-31T09:05:00")


def test_nothing_is_written_over(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = run_json(
        ["export", str(job), "--out", str(tmp_path), "--unit", "micron", "--json"], capsys
    )
    assert told["samples"] > 1000
    assert Path(told["readings"]).read_text().startswith("time_s,pressure_micron\n")
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    assert len(before) == 2
    assert main(["export", str(job), "--out", str(tmp_path)]) == 2
    assert "exists already" in capsys.readouterr().err
    (tmp_path / "visit.csv").unlink()
    assert main(["export", str(job), "--out", str(tmp_path)]) == 2
    assert {path.name for path in tmp_path.iterdir()} == {"visit.json"}


@pytest.mark.parametrize(
    "text",
    ["", "[]", '{"version": 1}', '{"version": 1, "samples": 2, "marks": 7, "out_of_range": []}',
     '{"version": 1, "samples": 2, "marks": [{"kind": "odd", "time_s": 1}], "out_of_range": []}',
     '{"version": 1, "samples": 2, "marks": [],'
     ' "out_of_range": [{"first": 0, "last": 9, "status": "ok"}]}'],
)  # fmt: skip
def test_a_record_that_is_none_is_refused_in_one_sentence(
    text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, record = tmp_path / "a.csv", tmp_path / "a.json"
    table.write_text("time_s,pressure_pa\n0,1\n1,1\n")
    record.write_text(text)
    assert main(["analyse", str(table), "--record", str(record)]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "a.json" in told


def test_a_folder_that_is_none_takes_nothing(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["export", str(job), "--out", str(tmp_path / "nowhere")]) == 2
    assert "nowhere" in capsys.readouterr().err


def test_a_second_gauge_gets_a_table_of_its_own(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = Path(__file__).parents[1] / "jobfile" / "kept" / "v2-two-gauges.simmerdown"
    told = run_json(["export", str(kept), "--out", str(tmp_path), "--json"], capsys)
    far, at_pump = read_csv(Path(told["readings"])), read_csv(Path(told["readings_at_pump"]))
    with JobReader(kept) as reader:
        zero_s = reader.readings().time_s[0]
        assert np.array_equal(at_pump.pressure_pa, reader.readings("pump").pressure_pa)
        assert np.array_equal(at_pump.time_s, reader.readings("pump").time_s - zero_s)
        assert np.array_equal(far.pressure_pa, reader.readings().pressure_pa)
    exported(job, tmp_path / "one")
    assert not (tmp_path / "one" / "visit-at-pump.csv").exists()


def test_numbers_that_no_float_holds_count_as_not_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, record = tmp_path / "a.csv", tmp_path / "a.json"
    table.write_text("time_s,pressure_pa\n0,50\n1,51\n")
    huge = 10**400
    fields = {
        "analysis": {"rules": {"flat_interval_s": huge}},
        "pressure_test": {"duration_s": huge, "expected_pa": 1.0},
        "volume_m3": huge,
    }
    told = {"version": 1, "samples": 2, "marks": [], "out_of_range": [], "fields": fields}
    record.write_text(json.dumps(told))
    assert main(["analyse", str(table), "--record", str(record)]) == 0
    assert "2 readings over" in capsys.readouterr().out


def test_a_disk_that_takes_only_some_files_keeps_none(
    job: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def full(_part: Path, _target: Path) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(export, "settle", full)
    assert main(["export", str(job), "--out", str(tmp_path)]) == 2
    assert "takes no file: No space left on device" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
