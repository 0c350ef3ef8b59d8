"""A job in which nothing ever came is taken away; any other is kept."""

from pathlib import Path

import pytest

from analysis.evacuation import Evacuation
from analysis.sample import Mark
from app.jobfile.empty import remove_if_empty
from app.jobfile.lock import JobLock
from app.jobfile.new import new_job
from app.jobfile.readings import encode_readings
from app.jobfile.rows import PUMP_READINGS, READINGS, Edit, LinkChange, Rejections, encode_note
from app.jobfile.writer import JobWriter
from app.live.run import Run
from sensors.events import Reading

OWN = {"title", "gauge"}


def add(job: Path, *rows: tuple[str, bytes]) -> None:
    with JobWriter(job) as writer:
        for row in rows:
            writer.append(*row)
        writer.commit()


def test_what_the_program_put_there_alone_is_nothing(tmp_path: Path) -> None:
    job = new_job(tmp_path, title="Invented van")
    add(
        job,
        encode_note(Edit("gauge", "serial:/dev/x")),
        encode_note(LinkChange(1.0, "failed", "no such port")),
        encode_note(Rejections(1.0, 2.0, 3)),
    )
    assert remove_if_empty(job, OWN)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "row",
    [
        (READINGS, encode_readings([Reading(1.0, 5.0)])),
        (PUMP_READINGS, encode_readings([Reading(1.0, 5.0)])),
        encode_note(Mark(1.0, "heat")),
        encode_note(Edit("vehicle", "grey van")),
    ],
    ids=["reading", "reading at the pump", "mark", "edit"],
)
def test_anything_else_is_kept(tmp_path: Path, row: tuple[str, bytes]) -> None:
    job = new_job(tmp_path, title="Invented van")
    add(job, row)
    before = job.read_bytes()
    assert not remove_if_empty(job, OWN)
    assert job.read_bytes() == before


def test_what_another_program_has_or_what_cannot_be_read_is_kept(tmp_path: Path) -> None:
    job, text = new_job(tmp_path), tmp_path / "text"
    text.write_text("no job")
    lock = JobLock(job)
    try:
        assert not remove_if_empty(job, OWN)
    finally:
        lock.release()
    assert not remove_if_empty(text, OWN)
    assert not remove_if_empty(tmp_path / "nowhere", OWN)
    assert {path.name for path in tmp_path.iterdir()} == {job.name, "text"}


def test_only_a_job_made_for_the_run_goes_with_it(tmp_path: Path) -> None:
    old, new = new_job(tmp_path), new_job(tmp_path)
    for path, is_new in ((old, False), (new, True)):
        run = Run(path, Evacuation(), is_new=is_new)
        assert run.close()
        assert run.is_kept == (not is_new)
        assert run.close()
        assert path.exists() == run.is_kept
