"""What the terminal says of a run."""

import io
import re
from pathlib import Path

import pytest

from analysis.snapshot import Snapshot
from app.cli import main
from app.live.run import Step
from app.output.terminal import Terminal
from app.words.sentences import Words
from sensors.csv_file import write_csv
from sensors.events import Reading, Rejected
from sensors.series import Series
from sensors.sim.simulation import generate
from tests.analysis.burst.test_hindsight import crowded_start
from tests.analysis.circuit_made import Circuit


def test_a_run_that_goes_on_with_a_job_counts_its_bursts_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trace, _ = generate("wet", seed=3, rate_hz=2.0, duration_s=2400.0)
    job, told = tmp_path / "a.simmerdown", []
    for name, part in (
        ("first.csv", trace.time_s < 1500.0),
        ("second.csv", trace.time_s >= 1500.0),
    ):
        write_csv(tmp_path / name, Series(trace.time_s[part], trace.pressure_pa[part]))
        address = f"replay:{tmp_path / name}?speed=0"
        assert main(["watch", address, "--job", str(job)]) == 0
        numbers = re.findall(r"  Burst (\d+): ", capsys.readouterr().out)
        told.append([int(number) for number in numbers])
    first, second = told
    assert len(first) > 1
    assert len(second) > 1
    assert first + second == list(range(1, len(first) + len(second) + 1))


def test_a_burst_that_is_told_late_says_why(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    time_s, pressure_pa, _ = crowded_start(2)
    write_csv(tmp_path / "a.csv", Series(time_s, pressure_pa))
    job = tmp_path / "a.simmerdown"
    assert main(["watch", f"replay:{tmp_path / 'a.csv'}?speed=0", "--job", str(job)]) == 0
    lines = re.findall(
        r"(\d+:\d+:\d+)  Burst \d+: (found on looking back)?", capsys.readouterr().out
    )
    late = [at for at, says in lines if says]
    at_once = [at for at, says in lines if not says]
    assert late
    assert at_once == sorted(at_once)
    assert max(late) < max(at_once)


def test_gas_that_rushes_into_a_hold_is_told_once() -> None:
    out, circuit = io.StringIO(), Circuit()
    terminal = Terminal(Words(), out)

    def show(snapshot: Snapshot) -> None:
        terminal.show(Step(Reading(snapshot.time_s, 20.0), snapshot))

    circuit.read(60, 20.0)
    show(circuit.mark("valve-closed"))
    show(circuit.read(300, 20.0))
    assert "HOLD" not in out.getvalue().replace("HOLDING", "")
    for _ in range(20):
        show(circuit.read(1, 38_000.0))
    assert out.getvalue().count("HOLD: After 4 min 58 s gas rushed in") == 1


def test_a_gauge_that_speaks_nonsense_does_not_sweep_the_rest_away() -> None:
    out = io.StringIO()
    terminal = Terminal(Words(), out)
    for at in range(50 * 300):
        terminal.show(Step(Rejected(at / 50.0, b"ERR", "'ERR' is no number"), None))
    lines = out.getvalue().splitlines()
    assert len(lines) == 25
    assert lines[4].endswith("  Bad frame ('ERR' is no number): b'ERR'")
    assert lines[5].endswith(", and 2\xa0995 bad frames before it")
