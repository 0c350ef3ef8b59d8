import os
from pathlib import Path

import pytest

from app.jobfile.errors import JobFileError
from app.jobfile.reader import JobReader
from app.jobfile.rows import Edit, encode_note
from app.jobfile.share import share_job
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter


def test_a_copy_has_the_same_rows(long_job: Path, tmp_path: Path) -> None:
    target = tmp_path / "to send.simmerdown"
    share_job(long_job, target)
    with JobReader(long_job) as one, JobReader(target) as other:
        assert list(one.rows()) == list(other.rows())
    assert verify_job(target).is_whole
    assert sorted(os.listdir(tmp_path)) == sorted([long_job.name, target.name])


def test_a_copy_of_a_job_that_is_being_recorded(job: Path, tmp_path: Path) -> None:
    with JobWriter(job) as writer:
        writer.append(*encode_note(Edit("volume_l", 3.2)))
        writer.commit()
        target = tmp_path / "copy.simmerdown"
        share_job(job, target)
        writer.append(*encode_note(Edit("volume_l", 3.3)))
        writer.commit()
    assert verify_job(target).rows == 3
    with JobWriter(target) as writer:  # a copy is a job like any other
        assert writer.last[0] == 3


def test_a_copy_replaces_no_file(job: Path, tmp_path: Path) -> None:
    target = tmp_path / "there"
    target.write_text("mine")
    with pytest.raises(JobFileError, match="exists already"):
        share_job(job, target)
    assert target.read_text() == "mine"


def test_a_copy_that_fails_leaves_nothing(job: Path, tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match="cannot be copied"):
        share_job(job, tmp_path / "no such folder" / "copy")
    job.write_bytes(job.read_bytes()[:-4096])
    with pytest.raises(JobFileError, match="damaged"):
        share_job(job, tmp_path / "copy")
    assert os.listdir(tmp_path) == [job.name]
