from datetime import timedelta
from pathlib import Path

import pytest

from analysis.reason import Reason
from analysis.snapshot import Caution
from app.jobfile.backlog import as_note
from app.jobfile.readings import encode_readings
from app.jobfile.rows import READINGS, FindingNote
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from app.report.record import read_record
from app.system.errors import UsageError
from sensors.events import Reading
from tests.app.report.conftest import START, MakeJob


def test_a_whole_job_is_read_whole(leak_job: Path) -> None:
    record = read_record(leak_job)
    assert record.verdict == verify_job(leak_job, record.last_hash)
    assert record.verdict.named_at == record.rows == record.verdict.rows
    assert record.fields.vehicle == "grey van, invented"
    assert [mark.kind for mark in record.marks] == ["valve-closed", "hold-over"]
    assert record.findings[-1].finding == "leak"
    assert record.moment(60.0) == START + timedelta(minutes=1)


def test_cautions_are_paired_with_their_ends(make_job: MakeJob) -> None:
    why = Reason("cold", {"temperature_c": 8.0})
    changes = [
        Caution("cold", 10.0, None, why),
        Caution("rising", 12.0, None, why),
        Caution("cold", 10.0, 15.0, why),
        Caution("cold", 20.0, None, why),
    ]
    job = make_job([Reading(0.0, 50.0)], extra=[as_note(change) for change in changes])
    spans = [(c.kind, c.from_s, c.until_s) for c in read_record(job).cautions]
    assert spans == [("cold", 10.0, 15.0), ("rising", 12.0, None), ("cold", 20.0, None)]


def test_a_job_of_more_than_a_year_is_refused(make_job: MakeJob) -> None:
    job = make_job([])
    with JobWriter(job) as writer:
        writer.append(READINGS, encode_readings([Reading(0.0, 50.0), Reading(4e7, 50.0)]))
        writer.commit()
    with pytest.raises(UsageError, match="more than a year"):
        read_record(job)


def test_no_moment_is_told_outside_the_calendar(leak_job: Path) -> None:
    record = read_record(leak_job)
    assert record.moment(1e300) is None


def test_a_damaged_job_gives_what_can_be_read(leak_job: Path, tmp_path: Path) -> None:
    content = bytearray(leak_job.read_bytes())
    last = content.rindex(b"hold-over")
    content[last : last + 9] = b"hold-oveR"
    job = tmp_path / "damaged.simmerdown"
    job.write_bytes(content)
    record = read_record(job)
    assert not record.verdict.is_whole
    assert record.verdict.bad_sequence is not None
    assert record.rows == record.verdict.rows < read_record(leak_job).rows
    assert len(record.readings) == len(read_record(leak_job).readings)


def test_what_is_no_job_is_refused(tmp_path: Path) -> None:
    other = tmp_path / "other.simmerdown"
    other.write_text("time_s,pressure_pa\n0,1\n")
    with pytest.raises(UsageError):
        read_record(other)


def test_findings_keep_their_details(leak_job: Path) -> None:
    note = read_record(leak_job).findings[-1]
    assert isinstance(note, FindingNote)
    assert set(note.details) >= {"limits", "reasons", "leak_pa_s", "rise_pa"}
