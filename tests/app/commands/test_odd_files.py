"""Files with what should not be in them: refused in one sentence, or analysed as they are."""

import os
import threading
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from app.cli import main
from app.jobfile.new import new_job
from app.live.recorder import Recorder
from sensors.events import Reading
from tests.app import schemas
from tests.app.commands.test_commands import run_json

BAD_FILES = {
    "empty": (b"", "line"),
    "binary": (bytes(range(256)) * 9, ""),
    "unit": (b"time_s,pressure_furlong\n0,1\n", "pressure"),
    "column": (b"time_s,reading\n0,1\n", "pressure"),
    "negative": (b"time_s,pressure_pa\n0,1\n1,-2\n", "line 3"),
    "nan": (b"time_s,pressure_pa\n0,nan\n", "line 2"),
    "backwards": (b"time_s,pressure_pa\n0,1\n5,1\n4,1\n", "line 4"),
    "huge": (b"time_s,pressure_pa\n0,1\n1,1e300\n", "line 3"),
    "hot": (b"time_s,pressure_pa,temperature_c\n0,1,20\n1,1,1e6\n", "line 3"),
    "infinite": (b"time_s,pressure_pa\n0,inf\n", "line 2"),
    "blank cell": (b"time_s,pressure_pa\n0,1\n1,\n", "line 3"),
    "late": (b"time_s,pressure_pa\n0,1\n1e18,1\n", "line 3"),
    "a year": (b"time_s,pressure_pa\n0,1\n1e8,1\n", "line 3"),
    "database": (b"SQLite format 3\x00" + bytes(84), ""),
}


@pytest.mark.parametrize("name", BAD_FILES)
@pytest.mark.parametrize("command", ["analyse", "hold"])
def test_bad_files_get_one_sentence_and_exit_two(
    name: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content, expected = BAD_FILES[name]
    path = tmp_path / f"{name}.csv"
    path.write_bytes(content)
    assert main([command, str(path), "--json"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert path.name in told.err
    assert expected in told.err.lower()


@pytest.mark.parametrize("name", BAD_FILES)
def test_a_bad_file_cannot_be_replayed_either(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content, expected = BAD_FILES[name]
    path = tmp_path / f"{name}.csv"
    path.write_bytes(content)
    job = tmp_path / "a.simmerdown"
    assert main(["watch", f"replay:{path}?speed=0", "--json", "--job", str(job)]) == 2
    last = capsys.readouterr().err.splitlines()[-1]
    assert path.name in last
    assert expected in last.lower()
    assert not job.exists()


def test_a_name_that_no_disk_takes_is_told_in_one_sentence(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["watch", f"replay:{'a' * 300}.csv"]) == 2
    assert "there is no such file" in capsys.readouterr().err


ODD_FILES = {
    "equal times": "".join(f"5,{50 + n % 3}\n" for n in range(900)),
    "two readings": "0,50\n1,51\n",
    "two at once": "0,50\n0,51\n",
    "nearly nothing": "".join(f"{n},1e-300\n" for n in range(900)),
    "nothing": "".join(f"{n},0\n" for n in range(900)),
    "far from zero": "".join(f"{n + 10**11},{50 + n % 3}\n" for n in range(900)),
}


@pytest.mark.parametrize("name", ODD_FILES)
def test_odd_files_are_analysed(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "odd.csv"
    path.write_text("time_s,pressure_pa\n" + ODD_FILES[name])
    jsonschema.validate(run_json(["analyse", str(path), "--json"], capsys), schemas.ANALYSE)
    told = run_json(["hold", str(path), "--json", "--volume-l", "2"], capsys)
    jsonschema.validate(told, schemas.HOLD)
    assert told["finding"] != "leak"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes that have a path")
def test_a_recording_that_comes_through_a_pipe(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)
    text = "time_s,pressure_pa\n" + "".join(f"{n},{50 + n % 3}\n" for n in range(900))
    writer = threading.Thread(target=path.write_text, args=(text,))
    writer.start()
    assert main(["analyse", str(path)]) == 0
    writer.join()
    assert "900 readings over" in capsys.readouterr().out
    assert main(["watch", f"replay:{path}", "--for", "1"]) == 2  # it would wait for a writer
    assert "it is a pipe" in capsys.readouterr().err


@pytest.mark.parametrize("wild", [Reading(0.0, 1e300), Reading(0.0, 60.0, 1e300)])
def test_absurd_readings_of_a_job_are_left_out(
    wild: Reading, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = []
    for is_wild in (False, True):
        job = new_job(tmp_path, name=f"{is_wild}.simmerdown")
        rng = np.random.default_rng(1)
        with Recorder(job) as recorder:
            for at in range(900):
                reading = Reading(float(at), 60.0 + 0.05 * at + rng.normal(0.0, 0.05), 20.0)
                odd = replace(wild, time_s=float(at))
                recorder.put(odd if is_wild and at in (400, 450) else reading)
        found.append(run_json(["hold", str(job), "--json"], capsys))
        told = run_json(["analyse", str(job), "--json"], capsys)
        jsonschema.validate(told, schemas.ANALYSE)
        assert told["samples"] == 900
    assert found[0]["finding"] == found[1]["finding"] == "leak"
    assert found[1]["leak_pa_s"]["best"] == pytest.approx(found[0]["leak_pa_s"]["best"], rel=0.01)
