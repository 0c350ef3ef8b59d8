"""A job's record is printed away from the window."""

from pathlib import Path

import pytest

from app.jobfile.new import new_job
from app.report.desk import ReportDesk, free_name
from app.words.phrases import english


@pytest.mark.usefixtures("qapp")
def test_the_report_lies_beside_its_job_and_is_told_once(tmp_path: Path) -> None:
    job = new_job(tmp_path, name="job.simmerdown", title="visit")
    desk = ReportDesk(english)
    for name in ("job.pdf", "job-2.pdf"):  # one that is there already may be handed over: it stays
        desk.make(job, "micron")
        desk.close()
        assert desk.news() == f"The report is made: {tmp_path / name}"
        assert desk.news() == ""
        assert (tmp_path / name).read_bytes().startswith(b"%PDF")


@pytest.mark.usefixtures("qapp")
def test_without_a_job_or_with_a_broken_one_it_says_so(tmp_path: Path) -> None:
    desk = ReportDesk(english)
    desk.make(None, "micron")
    assert desk.news() == "There is no job to report on yet."
    broken = tmp_path / "job.simmerdown"
    broken.write_bytes(b"no job at all")
    desk.make(broken, "micron")
    desk.close()
    assert "job.simmerdown" in desk.news()
    assert not desk.is_making


def test_a_free_name_is_the_first_that_is_free(tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    assert free_name(path) == path
    path.touch()
    assert free_name(path) == tmp_path / "a-2.pdf"
