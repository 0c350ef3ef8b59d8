"""Standard output and error that are closed, full, or of a few letters only."""

import errno
import io
import json
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from app.cli import main
from tests.app.recorded import times


class Full(io.StringIO):
    """A file on a full disk."""

    encoding = "utf-8"

    def write(self, text: str) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")


class Gone(io.StringIO):
    """A pipe that nobody reads any more."""

    encoding = "utf-8"

    def write(self, text: str) -> int:
        raise BrokenPipeError(errno.EPIPE, "Broken pipe")


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    path = tmp_path / "ok.csv"
    lines = "".join(f"{n},{4000.0 - n}\n" for n in range(300))
    path.write_text("time_s,pressure_pa\n" + lines)
    return path


def watched(recording: Path, *more: str) -> tuple[int, Path]:
    job = recording.with_name("a.simmerdown")
    return main(["watch", f"replay:{recording}?speed=0", "--job", str(job), *more]), job


@pytest.mark.parametrize("more", [[], ["--json"]])
def test_a_full_disk_under_the_output_does_not_end_the_record(
    more: list[str],
    recording: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(sys, "stdout", Full())
    code, job = watched(recording, *more)
    sys.stdout.close()
    assert code == 2
    assert len(times(job)) == 300
    said = "simmerdown watch: standard output cannot be written: No space left on device.\n"
    assert capsys.readouterr().err.count(said) == 1


def test_a_result_that_cannot_be_told_is_no_fault_of_the_program(
    recording: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdout", Full())
    assert main(["analyse", str(recording), "--json"]) == 2
    sys.stdout.close()
    assert capsys.readouterr().err == (
        "simmerdown analyse: standard output cannot be written: No space left on device.\n"
    )


def test_an_error_that_cannot_be_told_changes_nothing(
    recording: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stderr", Full())
    code, job = watched(recording)
    assert (code, len(times(job))) == (0, 300)
    assert main(["analyse", "missing.csv"]) == 2


def test_a_reader_who_went_away_leaves_a_closed_job(
    recording: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdout", Gone())
    code, job = watched(recording, "--json")
    sys.stdout.close()
    assert code == 0
    assert len(times(job)) == 300
    assert sorted(path.name for path in job.parent.iterdir()) == ["a.simmerdown", "ok.csv"]


@pytest.mark.parametrize("name", ["stdout", "stderr"])
def test_closed_streams(
    name: str,
    recording: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(sys, name, None)
    code, job = watched(recording)
    assert (code, len(times(job))) == (0, 300)
    assert main(["analyse", "missing.csv"]) == 2
    assert "missing.csv" not in capsys.readouterr().out


def test_a_terminal_of_few_letters_gets_the_whole_of_it(
    recording: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = io.BytesIO()
    narrow = io.TextIOWrapper(written, encoding="ascii")
    monkeypatch.setattr(sys, "stdout", narrow)
    assert main(["hold", str(recording)]) == 0
    assert b"at most 1 000 micron" in written.getvalue()
    job = recording.with_name("K\u00e4fer.simmerdown")
    assert main(["watch", f"replay:{recording}?speed=0", "--job", str(job)]) == 0
    narrow.flush()
    written.seek(0)
    written.truncate()
    assert main(["verify", str(job), "--json"]) == 0
    assert job.name in json.loads(written.getvalue())["text"]


@pytest.mark.skipif(sys.platform != "linux", reason="file names that are no text, as Linux has")
def test_a_file_name_that_is_no_text(recording: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = recording.with_name(os.fsdecode(b"\xff.simmerdown"))
    assert main(["watch", f"replay:{recording}?speed=0", "--job", str(job)]) == 0
    assert main(["export", str(job), "--out", str(recording.parent)]) == 0
    exported = recording.with_name(os.fsdecode(b"\xff.json")).read_text(encoding="utf-8")
    assert json.loads(exported)["readings"] == os.fsdecode(b"\xff.csv")
    assert "fault" not in capsys.readouterr().err


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="terminals that say so when closed")
def test_a_terminal_that_is_closed_ends_it_cleanly(tmp_path: Path) -> None:
    job = tmp_path / "a.simmerdown"
    command = [sys.executable, "-m", "app.cli", "watch", "sim:wet", "--json", "--job", str(job)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        killer = threading.Timer(60.0, program.kill)
        killer.start()
        assert program.stdout is not None
        for line in program.stdout:
            if '"pressure_pa"' in line:
                break
        program.send_signal(signal.SIGHUP)
        rest = program.stdout.read()
        code = program.wait(60)
        killer.cancel()
    assert code == 0
    readings = 1 + rest.count('"pressure_pa"')
    assert len(times(job)) == readings
    assert [path.name for path in tmp_path.iterdir()] == [job.name]
