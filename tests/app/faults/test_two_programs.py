"""A second program wants to record into a job that is being recorded."""

import subprocess
import sys
from pathlib import Path

import pytest

from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.verify import verify_job
from tests.sensors.gauge_process import ROOT, gauge_process

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo terminals")


def test_the_second_is_refused_in_one_sentence_and_the_first_loses_nothing(tmp_path: Path) -> None:
    port, job = tmp_path / "gauge", new_job(tmp_path, name="van.simmerdown")
    with (
        gauge_process("tests.app.running_gauge", port, 1, 50.0) as gauge,
        gauge_process(
            "tests.app.faults.recording_program", job, f"serial:{port}?field=2&unit=pa", 30.0
        ) as first,
    ):
        assert first.heard() == "connected"
        gauge.say("speak")
        second = subprocess.run(
            [sys.executable, "-m", "app.cli", "watch", "sim:wet", "--job", str(job)],
            capture_output=True,
            text=True,
            cwd=ROOT,
            timeout=60,
            check=False,
        )
        last = int(gauge.ask("stop"))
        while int(first.heard()) < last:
            pass
        first.say("end")
        first.wait()
    assert second.returncode == 2
    assert second.stdout == ""
    (sentence,) = second.stderr.splitlines()
    assert "is being recorded by another Simmerdown" in sentence
    with JobReader(job) as reader:
        assert reader.readings().pressure_pa.tolist() == list(range(1, last + 1))
    assert verify_job(job).is_whole
