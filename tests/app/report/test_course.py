from dataclasses import replace

import numpy as np
import pytest

from analysis.evacuation import Evacuation
from analysis.sample import Mark
from analysis.snapshot import BlankOff
from app.job.recording import load_job
from app.jobfile.jsontext import plain
from app.jobfile.rows import StageChange
from app.output.analysis_json import analyse
from app.report.course import Course, dead_times, follow, lulls
from app.report.record import Record, read_record
from sensors.events import Reading
from tests.app.report.conftest import MakeJob, held, played


def test_bursts_are_those_of_a_live_run(make_job: MakeJob) -> None:
    job = make_job(played("wet", 900.0))
    course = follow(read_record(job))
    live = analyse(load_job(job).items(), Evacuation())
    assert [b.onset_s for b in course.bursts] == [b.onset_s for b in live.bursts]
    assert len(course.bursts) > 5
    assert course.step_pa > 0
    assert course.noise_pa is not None


def test_a_hold_is_found_with_its_curves(leak: tuple[Record, Course]) -> None:
    (closing,) = leak[1].closings
    assert (closing.from_s, closing.until_s, closing.is_finished) == (600.5, 1022.0, True)
    assert closing.result is not None
    assert closing.result.finding == "leak"
    assert closing.result.curves


def test_a_hold_that_never_ended_is_told_so(make_job: MakeJob) -> None:
    (closing,) = follow(read_record(make_job(held("hold-leak", 130.0, is_ended=False)))).closings
    assert not closing.is_finished
    assert closing.until_s == pytest.approx(731.0, abs=2.0)
    assert closing.result is not None


def test_an_isolation_is_no_hold(make_job: MakeJob) -> None:
    items = [*played("wet", 600.0), Mark(600.5, "valve-closed")]
    items += [Reading(601.0 + t, 60.0 + 0.05 * t) for t in range(180)]
    items += [Mark(781.0, "valve-opened"), *played("wet", 300.0, from_s=782.0)]
    course = follow(read_record(make_job(items)))
    (isolation,) = course.isolations
    assert isolation.from_s == 600.5
    assert isolation.rise_pa > 5.0
    assert [closing.is_finished for closing in course.closings] == [False]


def test_lulls_leave_dead_time_out(leak: tuple[Record, Course]) -> None:
    record, course = leak
    ends, lengths = lulls(course, record)
    onsets = course.onsets_s
    dead = dead_times(course, record)
    assert dead[-1] == (600.5, 1022.0)
    assert np.all(lengths > 0)
    assert set(ends.tolist()) <= set(onsets.tolist())
    for end, length in zip(ends, lengths, strict=True):
        assert not any(end - length < until and end > begin for begin, until in dead)


def test_the_flat_interval_told_then_is_used(make_job: MakeJob) -> None:
    told = StageChange(5.0, "flat", "rate-below-one", {"flat_interval_s": 300.0})
    odd = StageChange(6.0, "flat", "rate-below-one", {"flat_interval_s": "soon"})
    record = read_record(make_job([Reading(0.0, 5.0)], extra=[told, odd]))
    assert follow(record).flat_interval_s == 300.0


def test_a_job_without_readings_has_no_course(make_job: MakeJob) -> None:
    assert follow(read_record(make_job([]))).bursts == ()


def test_lulls_leave_a_blank_off_test_out(leak: tuple[Record, Course]) -> None:
    record, course = leak
    ends, lengths = lulls(course, record)
    begin = float(ends[3] - 0.5 * lengths[3])
    test = BlankOff(begin, begin + 0.1, 4.0, 9.0, 5.0, None, None, True, (), ())
    during = replace(record, edits={**record.edits, "blank_off": plain(test)})
    left, _ = lulls(course, during)
    assert left.tolist() == [end for end in ends.tolist() if end != ends[3]]
