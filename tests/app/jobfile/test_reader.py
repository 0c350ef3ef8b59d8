import hashlib
import os
import shutil
import sqlite3
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.sample import Mark
from app.jobfile.errors import JobDamagedError, JobFileError
from app.jobfile.reader import JobReader
from app.jobfile.readings import encode_readings
from app.jobfile.rows import READINGS, Edit, JobStart, encode_note
from app.jobfile.writer import JobWriter
from sensors.events import Reading
from tests.app.jobfile.opening import open_and_close, overwrite


def test_a_job_is_read_back(long_job: Path) -> None:
    with JobReader(long_job) as reader:
        assert reader.start.utc_start == "2030-01-31T09:05:00.000Z"
        assert reader.fields() == {"title": "Invented van"}
        assert reader.last[0] == 402
        readings = reader.readings()
        marks = [note for _, note in reader.notes("mark")]
        assert [row.sequence for row in reader.rows()] == list(range(1, 403))
        assert not reader.damage
    times = [block * 4 + step / 10 for block in range(200) for step in range(40)]
    assert np.array_equal(readings.time_s, times)
    assert len(marks) == 200
    assert isinstance(marks[0], Mark)


def test_a_job_without_readings_has_none(job: Path) -> None:
    with JobReader(job) as reader:
        assert len(reader.readings()) == 0


def test_the_last_edit_of_a_field_holds(job: Path) -> None:
    with JobWriter(job) as writer:
        for value in (2.5, 3.2):
            writer.append(*encode_note(Edit("volume_l", value)))
        writer.commit()
    with JobReader(job) as reader:
        assert reader.fields() == {"title": "Invented van", "volume_l": 3.2}


def test_reading_writes_nothing(long_job: Path) -> None:
    before = hashlib.sha256(long_job.read_bytes()).digest()
    with JobReader(long_job) as reader:
        list(reader.rows())
        with pytest.raises(sqlite3.OperationalError):
            reader._connection.execute("INSERT INTO entry VALUES (999, 'mark', '', x'', x'')")
    assert hashlib.sha256(long_job.read_bytes()).digest() == before
    assert os.listdir(long_job.parent) == [long_job.name]


def test_a_job_can_be_read_while_it_is_written(job: Path) -> None:
    with JobWriter(job) as writer, JobReader(job) as reader:
        for number in range(200):
            writer.append(*encode_note(Edit("n", number)))
        writer.commit()
        rows = reader.rows()
        next(rows)
        writer.append(*encode_note(Edit("n", 200)))
        writer.commit()  # a reader in the middle of its rows does not hold the writer up
        assert sum(1 for _ in rows) == 202


def test_a_bad_block_is_named(job: Path) -> None:
    with JobWriter(job) as writer:
        writer.append(READINGS, encode_readings([Reading(5.0, 1.0)]))
        writer.append(READINGS, b"odd")
        writer.append(READINGS, encode_readings([Reading(4.0, 1.0)]))
        writer.append(READINGS, encode_readings([Reading(6.0, 1.0)]))
        writer.commit()
    with JobReader(job) as reader, pytest.raises(JobFileError, match="Row 4"):
        reader.readings()
    with JobReader(job, is_salvage=True) as reader:
        assert reader.readings().time_s.tolist() == [5.0, 6.0]


def test_time_that_goes_back_between_blocks_is_named(job: Path) -> None:
    with JobWriter(job) as writer:
        for time_s in (5.0, 4.0):
            writer.append(READINGS, encode_readings([Reading(time_s, 1.0)]))
        writer.commit()
    with JobReader(job) as reader, pytest.raises(JobFileError, match="Row 4: time goes back"):
        reader.readings()


def test_a_bad_note_is_named(job: Path) -> None:
    with JobWriter(job) as writer:
        writer.append("mark", b'{"time_s":NaN}')
        writer.append(*encode_note(Edit("volume_l", 3.2)))
        writer.commit()
    with JobReader(job) as reader, pytest.raises(JobFileError, match="Row 3"):
        list(reader.notes())
    with JobReader(job, is_salvage=True) as reader:
        assert [row.sequence for row, _ in reader.notes()] == [1, 2, 4]


def test_a_page_damaged_in_the_middle(long_job: Path) -> None:
    overwrite(long_job, long_job.stat().st_size // 8192 * 4096, os.urandom(4096))
    with pytest.raises(JobDamagedError, match="damaged"):
        open_and_close(long_job)
    with JobReader(long_job, is_salvage=True) as reader:
        found = [row.sequence for row in reader.rows()]
        assert "cannot be read" in reader.damage
        assert isinstance(reader.start, JobStart)
        assert 7000 < len(reader.readings()) < 8000
    lost = sorted(set(range(1, 403)) - set(found))
    assert lost == list(range(lost[0], lost[-1] + 1))
    assert 0 < len(lost) < 10  # what one page holds
    assert found == sorted(found)


def test_a_file_cut_off(long_job: Path) -> None:
    os.truncate(long_job, long_job.stat().st_size // 2)
    with pytest.raises(JobDamagedError):
        open_and_close(long_job)
    with JobReader(long_job, is_salvage=True) as reader:
        found = [row.sequence for row in reader.rows()]
        assert "cannot be read" in reader.damage
    assert found == list(range(1, len(found) + 1))
    assert 150 < len(found) < 250


def test_what_lies_before_a_page_that_is_missing_is_all_there(job: Path, tmp_path: Path) -> None:
    """As in a copy that was taken while the next page was on its way to the disk."""
    cut = tmp_path / "cut.simmerdown"
    size, sizes = job.stat().st_size, []  # before a page was added, and the blocks up to there
    with JobWriter(job) as writer:
        for block in range(40):
            writer.append(
                READINGS, encode_readings(Reading(25.0 * block + i, 1.0) for i in range(25))
            )
            writer.commit()
            if job.stat().st_size > size:
                sizes.append((size, block))
                size = job.stat().st_size
    assert len(sizes) > 8
    for whole, blocks in sizes[2:]:  # the first pages make room for an index over the leaves
        shutil.copy(job, cut)
        os.truncate(cut, whole)
        with JobReader(cut, is_salvage=True) as reader:
            assert len(reader.readings()) == 25 * blocks


def test_a_damaged_first_page_says_so(long_job: Path) -> None:
    overwrite(long_job, 100, bytes(3996))
    for is_salvage in (False, True):
        with pytest.raises(JobFileError):
            JobReader(long_job, is_salvage=is_salvage)


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(st.tuples(st.integers(0, 2**32), st.binary(min_size=1, max_size=40)), max_size=6))
def test_any_damage_ends_in_rows_or_a_clear_error(
    long_job: Path, spots: list[tuple[int, bytes]]
) -> None:
    copy = long_job.with_name("copy.simmerdown")
    shutil.copy(long_job, copy)
    for at, data in spots:
        overwrite(copy, at % (long_job.stat().st_size - 40), data)
    for is_salvage in (False, True):
        try:
            with JobReader(copy, is_salvage=is_salvage) as reader:
                sequences = [row.sequence for row in reader.rows()]
                assert sequences == sorted(set(sequences))
                reader.readings()
                list(reader.notes())
        except JobFileError:
            pass
