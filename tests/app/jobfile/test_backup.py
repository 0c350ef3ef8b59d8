"""A second copy of a job at another place."""

import shutil
import sys
from pathlib import Path

import pytest

from analysis.sample import Mark
from app.job.backup_desk import BackupDesk
from app.jobfile import backup
from app.jobfile.backup import back_up, check_place
from app.jobfile.errors import JobFileError
from app.jobfile.new import new_job
from app.jobfile.rows import encode_note
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from app.words.phrases import english
from tests.app.small_disk import mounted_disk


@pytest.fixture
def second(tmp_path: Path) -> Path:
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


def go_on(job: Path, text: str = "") -> None:
    with JobWriter(job) as writer:
        writer.append(*encode_note(Mark(1.0, "note", text)))
        writer.commit()


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_the_copy_has_the_whole_chain(long_job: Path, second: Path) -> None:
    (second / f".{long_job.name}.0badbeef.part").write_bytes(b"left by a program that was ended")
    copy = back_up(long_job, second)
    assert copy == second / long_job.name
    assert verify_job(copy) == verify_job(long_job)
    assert names(second) == [long_job.name]


def test_a_shorter_copy_of_the_same_job_is_replaced(job: Path, second: Path) -> None:
    back_up(job, second)
    go_on(job)
    copy = back_up(job, second)
    assert verify_job(copy) == verify_job(job)
    assert names(second) == [job.name]


def test_the_same_copy_is_left_as_it_is(job: Path, second: Path) -> None:
    copy = back_up(job, second)
    before = copy.stat()
    assert back_up(job, second) == copy
    assert copy.stat().st_mtime_ns == before.st_mtime_ns
    assert copy.stat().st_ino == before.st_ino


def test_a_longer_one_is_never_replaced(job: Path, second: Path) -> None:
    longer = second / job.name
    shutil.copy(job, longer)
    go_on(longer)
    before = longer.read_bytes()
    assert back_up(job, second) == longer
    assert longer.read_bytes() == before
    assert names(second) == [job.name]


@pytest.mark.parametrize("kind", ["another job", "gone on differently", "no job", "damaged"])
def test_what_is_not_ours_is_never_replaced(job: Path, second: Path, kind: str) -> None:
    there = second / job.name
    if kind == "another job":
        new_job(second, name=job.name)
    elif kind == "no job":
        there.write_text("a shopping list")
    else:
        shutil.copy(job, there)
        if kind == "damaged":
            there.write_bytes(there.read_bytes()[:5000])
        else:
            go_on(there, "there")
            go_on(job, "here")
    before = there.read_bytes()
    copy = back_up(job, second)
    assert copy == second / f"{job.stem}-2{job.suffix}"
    assert there.read_bytes() == before
    assert verify_job(copy) == verify_job(job)
    go_on(job)
    assert back_up(job, second) == copy  # its own earlier copy is found again
    assert names(second) == sorted([job.name, copy.name])


def test_a_folder_that_is_not_there_is_told_and_not_made_up(job: Path, tmp_path: Path) -> None:
    before = job.read_bytes()
    with pytest.raises(JobFileError, match=r"the folder .*stick is not there") as error:
        back_up(job, tmp_path / "stick")
    assert "\n" not in str(error.value)
    assert not (tmp_path / "stick").exists()
    assert job.read_bytes() == before


def test_the_jobs_own_folder_is_no_second_place(job: Path) -> None:
    with pytest.raises(JobFileError, match="where the job itself is"):
        back_up(job, job.parent)


def test_what_takes_no_copies_is_told_beforehand(job: Path, second: Path) -> None:
    check_place(second, job.parent)
    assert names(second) == []
    for place, said in (
        (second / "gone", "is not there"),
        (job, "is not there"),
        (job.parent, "where the job itself is"),
    ):
        with pytest.raises(JobFileError, match=said):
            check_place(place, job.parent)


@pytest.mark.skipif(sys.platform != "linux", reason="needs a folder that takes no files")
def test_a_place_that_takes_no_files_is_told_beforehand(job: Path) -> None:
    with pytest.raises(JobFileError, match="No second copy in /proc: "):
        check_place(Path("/proc"), job.parent)


def test_a_full_place_is_told_beforehand(job: Path, tmp_path: Path) -> None:
    with mounted_disk(tmp_path / "stick", kib=128) as stick:
        check_place(stick, job.parent)
        with pytest.raises(OSError, match="No space"):
            (stick / "ballast").write_bytes(bytes(1 << 20))
        with pytest.raises(JobFileError, match=f"No second copy in {stick}: No space left"):
            check_place(stick, job.parent)


def test_a_place_that_may_not_be_looked_into_is_told(
    job: Path, second: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def closed(ours: object, target: Path) -> str:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(backup, "_relation", closed)
    desk = BackupDesk(english)
    desk.make(job, second)
    assert f"No second copy in {second}: Permission denied." in desk.wait(60.0)


def test_a_copy_that_did_not_arrive_whole_is_taken_away(
    long_job: Path, second: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def bad_copy(path: Path, part: Path) -> None:
        data = bytearray(path.read_bytes())
        data[len(data) // 2] ^= 1
        part.write_bytes(data)

    monkeypatch.setattr(backup, "copy_to", bad_copy)
    with pytest.raises(JobFileError, match=r"is not what was written|damaged"):
        back_up(long_job, second)
    assert names(second) == []


def test_a_full_second_place_leaves_nothing_behind(
    job: Path, second: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(part: Path, target: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup, "settle", full)
    with pytest.raises(JobFileError, match="No space left"):
        back_up(job, second)
    assert names(second) == []


def test_the_desk_tells_once_what_came_of_it(job: Path, second: Path, tmp_path: Path) -> None:
    desk = BackupDesk(english)
    desk.make(None, second)
    desk.make(job, None)
    assert (desk.wait(), desk.news()) == ("", "")
    desk.make(job, second)
    assert desk.wait(60.0) == ""
    assert desk.news() == f"A second copy is in {second / job.name}."
    assert desk.news() == ""
    desk.make(job, tmp_path / "nowhere")
    told = desk.wait(60.0)
    assert "is not there" in told
    assert f"The job itself is safe in {job}." in told
