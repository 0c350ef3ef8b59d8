"""Second copies are made away from the window, one after the other, and each is told."""

import threading
from pathlib import Path

import pytest

from app.job import backup_desk
from app.job.backup_desk import BackupDesk
from app.jobfile.errors import JobFileError
from app.words.phrases import english


def test_a_slow_place_holds_up_nobody_and_every_copy_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = threading.Event()

    def slow(job: Path, folder: Path) -> Path:
        answers.wait(2.0)
        if job.name == "first":
            raise JobFileError("No second copy: the stick is full.")
        return folder / job.name

    monkeypatch.setattr(backup_desk, "back_up", slow)
    desk = BackupDesk(english)
    desk.make(tmp_path / "first", tmp_path / "stick")
    assert desk.wait(0.01) == "The second place does not answer: no copy there."
    desk.make(tmp_path / "second", tmp_path / "stick")
    assert desk.news() == ""  # the second one waits for the first, and nobody for either
    answers.set()
    assert desk.close()
    said = [desk.news(), desk.news(), desk.news()]
    assert said[0].startswith("No second copy: the stick is full. The job itself is safe in ")
    assert said[1:] == [f"A second copy is in {tmp_path / 'stick' / 'second'}.", ""]


def test_on_closing_only_a_copy_that_failed_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_job: Path, _folder: Path) -> Path:
        raise JobFileError("No second copy: the stick is full.")

    desk = BackupDesk(english)
    monkeypatch.setattr(backup_desk, "back_up", full)
    desk.make(tmp_path / "first", tmp_path)
    monkeypatch.setattr(backup_desk, "back_up", lambda _job, folder: folder / "copy")
    desk.make(tmp_path / "second", tmp_path)
    assert desk.wait().startswith("No second copy: the stick is full.")
    assert desk.news().startswith("No second copy: the stick is full.")
    assert desk.wait() == ""
