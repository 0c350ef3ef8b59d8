"""``watch`` on a real serial line: a gauge process on a pseudo terminal dies and comes back."""

import json
import subprocess
import sys
import threading
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from app.cli import main
from app.jobfile.reader import JobReader
from app.jobfile.verify import verify_job
from tests.app import schemas
from tests.sensors.gauge_process import GaugeProcess, gauge_process

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo terminals")

PROGRAM = [sys.executable, "-m", "app.cli"]


def gauge(port: Path) -> AbstractContextManager[GaugeProcess]:
    return gauge_process("tests.sensors.pty_feeder", port)


def line(number: int) -> bytes:
    return f"G1;{number}.5;21,0\n".encode()


def heard(watch: "subprocess.Popen[str]", *, key: str, value: Any) -> list[dict[str, Any]]:
    """Read what watch prints until an object says so."""
    assert watch.stdout is not None
    objects = []
    for text in watch.stdout:
        objects.append(json.loads(text))
        if objects[-1].get(key) == value:
            return objects
    raise AssertionError(f"ended without {key}={value}: {objects[-3:]}")


def test_every_reading_once_through_death_and_return(tmp_path: Path) -> None:
    port, job = tmp_path / "gauge", tmp_path / "van.simmerdown"
    address = f"serial:{port}?field=2&unit=pa&delimiter=;"
    with gauge(port) as wire:
        watch = subprocess.Popen(
            [*PROGRAM, "watch", address, "--json", "--for", "60", "--job", str(job)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=Path(__file__).parents[3],
        )
        with watch:
            told = heard(watch, key="link", value="connected")
            wire.write(b"..;0\n")  # the end of a line begun before
            for number in range(1, 101):
                wire.write(line(number))
            told += heard(watch, key="pressure_pa", value=100.5)
            wire.write(b"\xff\xfe#;x;\nG1;9")  # and half a line
            wire.die()
            told += heard(watch, key="link", value="lost")
            with gauge(port) as wire_again:
                told += heard(watch, key="link", value="connected")
                wire_again.write(b"0\n")
                for number in range(101, 201):
                    wire_again.write(line(number))
                told += heard(watch, key="pressure_pa", value=200.5)
                watch.terminate()
                assert watch.wait(20) == 0
    readings = [item for item in told if "pressure_pa" in item]
    assert [item["pressure_pa"] for item in readings] == [n + 0.5 for n in range(1, 201)]
    times = [item["time_s"] for item in told]
    assert times == sorted(times)
    for item in told:
        schema = schemas.WATCH_READING if "pressure_pa" in item else schemas.WATCH_LINK
        jsonschema.validate(item, schema)
    with JobReader(job) as reader:
        assert reader.readings().pressure_pa.tolist() == [n + 0.5 for n in range(1, 201)]
        kinds = {row.kind for row, _ in reader.notes()}
    assert {"link", "rejected", "stage"} <= kinds
    assert verify_job(job).is_whole


def test_a_gauge_never_reached_is_exit_two_and_one_sentence(tmp_path: Path) -> None:
    ended = subprocess.run(
        [*PROGRAM, "watch", f"serial:{tmp_path}/none", "--json", "--for", "1"],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[3],
        check=False,
    )
    assert ended.returncode == 2
    assert str(tmp_path / "none") in ended.stderr.splitlines()[-1]
    assert [json.loads(text)["link"] for text in ended.stdout.splitlines()] == ["lost"]


def test_a_gauge_whose_lines_are_no_readings_is_exit_two_and_says_why(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    port, job = tmp_path / "gauge", tmp_path / "a.simmerdown"
    address = f"serial:{port}?unit=pa"
    with gauge(port) as wire:
        later = threading.Timer(2.0, wire.write, (b"\nERR\nERR\n",))
        later.start()
        assert main(["watch", address, "--for", "4", "--job", str(job)]) == 2
        later.join()
    said = capsys.readouterr().err.splitlines()[-1]
    assert said == (
        f"simmerdown watch: {address} was reached, but gave no reading in 4 s: 'ERR' is no number."
    )
    assert not job.exists()


def test_going_on_with_a_job_marks_the_gap(tmp_path: Path) -> None:
    job = tmp_path / "go-on.simmerdown"
    for _ in range(2):
        ended = subprocess.run(
            [*PROGRAM, "watch", "sim:wet?speed=50", "--for", "2", "--json", "--job", str(job)],
            capture_output=True,
            text=True,
            cwd=Path(__file__).parents[3],
            check=True,
        )
        assert ended.stdout.count("pressure_pa") > 100
    with JobReader(job) as reader:
        times = reader.readings().time_s
        resumed = [note for _, note in reader.notes("resumed")]
    assert len(resumed) == 1
    assert (times[1:] >= times[:-1]).all()
    assert verify_job(job).is_whole
