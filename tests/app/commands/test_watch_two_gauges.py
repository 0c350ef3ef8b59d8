"""``watch --also``: two real serial lines, of which either is lost and told apart; and its ends."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from app.cli import main
from app.jobfile.errors import JobFileError
from app.jobfile.reader import JobReader
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from app.settings.file import save_settings
from app.settings.values import Settings
from tests.app import schemas
from tests.app.commands.test_watch_serial import PROGRAM, gauge, heard, line

AT_PUMP = {"at": {"const": "pump"}}
PUMP_READING = schemas.record({**schemas.WATCH_READING["properties"], **AT_PUMP})


@pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo terminals")
def test_both_lines_are_recorded_and_told_apart(tmp_path: Path) -> None:
    job, options = tmp_path / "van.simmerdown", "?field=2&unit=pa&delimiter=;"
    far_at, pump_at = (f"serial:{tmp_path}/{name}{options}" for name in ("far", "pump"))
    with gauge(tmp_path / "far") as far, gauge(tmp_path / "pump") as pump:
        watch = subprocess.Popen(
            [
                *(*PROGRAM, "watch", far_at, "--also", pump_at),
                *("--json", "--for", "60", "--job", str(job)),
            ],
            stdout=subprocess.PIPE,
            text=True,
            cwd=Path(__file__).parents[3],
        )
        with watch:
            told = heard(watch, key="link", value="connected")
            told += heard(watch, key="link", value="connected")
            for wire in (far, pump):
                wire.write(b"0\n")  # the end of a line begun before
            for number in range(101, 121):
                far.write(line(number))
                pump.write(line(number - 100))
            # Two lines, read side by side: either may be the last.
            seen: list[Any] = []
            while not {120.5, 20.5} <= set(seen):
                told += heard(watch, key="status", value="ok")
                seen.append(told[-1]["pressure_pa"])
            pump.die()
            told += heard(watch, key="link", value="lost")
            assert told[-1]["at"] == "pump"
            far.write(line(121))
            told += heard(watch, key="pressure_pa", value=121.5)
            watch.terminate()
            assert watch.wait(20) == 0
    readings = [item for item in told if "pressure_pa" in item]
    by_far = [item for item in readings if "at" not in item]
    by_pump = [item for item in readings if "at" in item]
    assert [item["pressure_pa"] for item in by_far] == [n + 0.5 for n in range(101, 122)]
    assert [item["pressure_pa"] for item in by_pump] == [n + 0.5 for n in range(1, 21)]
    for item in by_far:
        jsonschema.validate(item, schemas.WATCH_READING)
    for item in by_pump:
        jsonschema.validate(item, PUMP_READING)
    with JobReader(job) as reader:
        assert reader.version == 2
        assert reader.readings().pressure_pa.tolist() == [n + 0.5 for n in range(101, 122)]
        assert reader.readings("pump").pressure_pa.tolist() == [n + 0.5 for n in range(1, 21)]
        kinds = [row.kind for row, _ in reader.notes("link", "pump-link")]
    assert kinds.count("pump-link") == 2
    assert verify_job(job).is_whole


@pytest.mark.parametrize("second", ["sim:wet", "nonsense", "serial:"])
def test_a_wrong_second_address_is_one_line_and_no_job(
    second: str, own_folders: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["watch", "sim:wet", "--also", second, "--for", "1"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert not list(own_folders.rglob("*.simmerdown"))


def test_a_gauge_never_reached_leaves_no_job(
    tmp_path: Path, own_folders: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["watch", f"serial:{tmp_path}/none", "--json", "--for", "1"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert not list(own_folders.rglob("*.simmerdown*"))


def test_what_could_not_be_saved_is_told_and_the_exit_is_not_zero(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "van.simmerdown"
    commit = JobWriter.commit

    def fills_up(writer: JobWriter) -> None:
        if writer.last[0] > 4:
            raise JobFileError(f"{writer.path.name} cannot be written: the disk is full.")
        commit(writer)

    monkeypatch.setattr(JobWriter, "commit", fills_up)
    assert main(["watch", "sim:wet?speed=20", "--json", "--for", "3", "--job", str(job)]) == 2
    last = capsys.readouterr().err.splitlines()[-1]
    assert "NOT ALL IS SAVED" in last
    assert "readings or notes are lost" in last
    assert "the disk is full" in last
    assert verify_job(job).is_whole


def test_a_second_copy_is_made_and_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    second, job = tmp_path / "stick", tmp_path / "van.simmerdown"
    save_settings(Settings(backup_folder=second))
    arguments = ["watch", "sim:wet?speed=20", "--json", "--for", "1", "--job", str(job)]
    assert main(arguments) == 0
    told = capsys.readouterr()
    assert f"No second copy: the folder {second} is not there." in told.err
    assert all(json.loads(text) for text in told.out.splitlines())
    second.mkdir()
    assert main(arguments) == 0
    assert f"A second copy is in {second / job.name}." in capsys.readouterr().err
    assert verify_job(second / job.name) == verify_job(job)
