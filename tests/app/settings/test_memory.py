"""What the window remembers."""

from pathlib import Path

import pytest

from app.settings.memory import Memory, Remembered


def test_it_is_there_after_a_new_start(tmp_path: Path) -> None:
    Memory(tmp_path / "m.json").keep(address="sim:wet")
    Memory(tmp_path / "m.json").keep(open_job="/somewhere/job")
    assert Memory(tmp_path / "m.json").value == Remembered("sim:wet", "/somewhere/job")


@pytest.mark.parametrize("text", ["", "{", "[]", "7", '{"other": 1}', "\0"])
def test_a_file_that_cannot_be_used_counts_as_none(tmp_path: Path, text: str) -> None:
    (tmp_path / "m.json").write_text(text)
    assert Memory(tmp_path / "m.json").value == Remembered()


def test_a_job_that_is_gone_is_not_offered(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "m.json")
    memory.keep(open_job=str(tmp_path / "gone"))
    assert memory.open_job is None


def test_a_folder_that_takes_nothing_is_no_fault(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    memory = Memory(tmp_path / "file" / "m.json")
    memory.keep(address="sim:wet")
    assert memory.value.address == "sim:wet"


def test_an_unfinished_job_that_cannot_be_looked_up_is_not_offered(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "window.json")
    memory.keep(open_job=str(tmp_path / ("a" * 300)))
    assert memory.open_job is None
