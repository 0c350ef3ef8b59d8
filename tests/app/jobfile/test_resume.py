from datetime import timedelta
from pathlib import Path

import pytest

from analysis.sample import Mark
from app.jobfile.errors import JobDamagedError
from app.jobfile.reader import JobReader
from app.jobfile.readings import encode_readings
from app.jobfile.resume import continue_job
from app.jobfile.rows import PUMP_READINGS, READINGS, Resumed, encode_note
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from sensors.events import Reading
from tests.app.jobfile.conftest import START


def record(job: Path, *rows: tuple[str, bytes]) -> None:
    with JobWriter(job) as writer:
        for row in rows:
            writer.append(*row)
        writer.commit()


def resumed(job: Path) -> list[Resumed]:
    with JobReader(job) as reader:
        return [note for _, note in reader.notes("resumed") if isinstance(note, Resumed)]


def test_a_job_without_times_is_begun_not_resumed(job: Path) -> None:
    writer, clock = continue_job(job, now=lambda: START + timedelta(seconds=30), steady=lambda: 5.0)
    writer.close()
    assert clock.now_s() == 30.0
    assert resumed(job) == []


def test_job_time_goes_on_by_utc(job: Path) -> None:
    record(
        job,
        (READINGS, encode_readings([Reading(10.0, 5.0), Reading(11.0, 5.0)])),
        encode_note(Mark(11.5, "heat")),
    )
    writer, clock = continue_job(job, now=lambda: START + timedelta(hours=2), steady=lambda: 5.0)
    writer.close()
    assert resumed(job) == [Resumed(7200.0, 11.5, False)]
    assert clock.to_job(Reading(123456.0, 5.0)).time_s == 7200.0
    assert verify_job(job).is_whole


def test_a_wall_clock_set_back_does_not_turn_job_time_back(job: Path) -> None:
    record(job, (READINGS, encode_readings([Reading(5000.0, 5.0)])))
    writer, clock = continue_job(job, now=lambda: START - timedelta(days=1), steady=lambda: 5.0)
    writer.close()
    assert resumed(job) == [Resumed(5000.0, 5000.0, True)]
    assert clock.now_s() == 5000.0


def test_a_job_resumed_twice_counts_from_the_last_resumption(job: Path) -> None:
    record(job, encode_note(Mark(3.0, "heat")))
    for hours in (1, 2):
        moment = START + timedelta(hours=hours)
        continue_job(job, now=lambda moment=moment: moment)[0].close()  # type: ignore[misc]
    assert resumed(job) == [Resumed(3600.0, 3.0, False), Resumed(7200.0, 3600.0, False)]


def test_a_job_that_does_not_begin_with_its_start_is_refused_and_let_go(job: Path) -> None:
    data = job.read_bytes()
    assert data.count(b'"utc_start"') == 1
    job.write_bytes(data.replace(b'"utc_start"', b'"utc_stort"'))
    for _ in range(2):
        with pytest.raises(Exception, match="utc_start") as error:
            continue_job(job)
        assert not isinstance(error.value, JobDamagedError | KeyError)


@pytest.mark.parametrize(("far_s", "pump_s"), [(10.0, 12.0), (12.0, 10.0)])
def test_time_goes_on_behind_both_gauges(job: Path, far_s: float, pump_s: float) -> None:
    record(
        job,
        (READINGS, encode_readings([Reading(far_s, 5.0)])),
        (PUMP_READINGS, encode_readings([Reading(pump_s, 5.0)])),
        (READINGS, encode_readings([Reading(far_s, 5.0)])),
    )
    continue_job(job, now=lambda: START)[0].close()
    assert resumed(job) == [Resumed(12.0, 12.0, True)]
