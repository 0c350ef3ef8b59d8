"""The commands as their users run them: exit codes, one sentence, exactly one JSON object."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest

from analysis.sample import Mark
from app.cli import main
from sensors.csv_file import write_csv
from sensors.events import Reading
from sensors.series import Series
from sensors.sim.simulation import generate
from tests.app import schemas
from tests.app.report.conftest import write_job


def saved(path: Path, scenario: str, duration_s: float, rate_hz: float = 2.0) -> Path:
    trace, _ = generate(scenario, seed=3, rate_hz=rate_hz, duration_s=duration_s)
    write_csv(path, Series(trace.time_s, trace.pressure_pa))
    return path


@pytest.fixture(scope="module")
def wet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return saved(tmp_path_factory.mktemp("csv") / "wet.csv", "wet", 2400.0)


def run_json(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> Any:
    assert main(arguments) == 0
    out = capsys.readouterr().out
    assert out.count("\n") == 1

    def refuse(name: str) -> None:
        raise AssertionError(f"{name} in JSON")

    return json.loads(out, parse_constant=refuse)


def test_analyse_gives_the_object_of_the_contract(
    wet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = run_json(["analyse", str(wet), "--json"], capsys)
    jsonschema.validate(told, schemas.ANALYSE)
    assert told["samples"] == len(wet.read_text().splitlines()) - 1
    assert len(told["bursts"]) > 10
    at = [item["at_s"] for item in told["progress"]]
    assert at[:3] == [60, 120, 180]
    assert at[-1] == told["duration_s"]


@pytest.mark.parametrize("cut_s", [433.0, 1200.0, 1999.9])
def test_cutting_the_file_changes_nothing_before(
    wet: Path, tmp_path: Path, cut_s: float, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = run_json(["analyse", str(wet), "--json"], capsys)
    header, *lines = wet.read_text().splitlines()
    kept = [line for line in lines if float(line.split(",")[0]) <= cut_s]
    short = tmp_path / "short.csv"
    short.write_text("\n".join([header, *kept]) + "\n")
    cut = run_json(["analyse", str(short), "--json"], capsys)
    assert cut["bursts"] == [b for b in whole["bursts"] if b["seen_s"] <= cut["duration_s"]]
    before = [item for item in whole["progress"] if item["at_s"] <= cut["duration_s"]]
    assert cut["progress"][: len(before)] == before
    assert len(cut["progress"]) - len(before) in (0, 1)


def test_what_is_known_of_the_past_moves_the_forecast(
    wet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = []
    for days in ("0", "3"):
        told = run_json(["analyse", str(wet), "--json", "--days-open", days], capsys)
        items = {item["at_s"]: item["flat_at_s"] for item in told["progress"]}
        said.append({at: flat for at, flat in items.items() if flat is not None})
    both = sorted(said[0].keys() & said[1].keys())
    assert both
    assert all(said[1][at] >= said[0][at] for at in both)
    assert said[1][both[0]] > 1.01 * said[0][both[0]]


def test_analyse_tells_people_too(wet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["analyse", str(wet)]) == 0
    out = capsys.readouterr().out
    assert "bursts from" in out
    assert "Keep pumping" in out


@pytest.mark.parametrize(
    ("scenario", "findings"),
    [
        ("hold-held", {"held"}),
        ("hold-leak", {"leak"}),
        ("hold-vapour", {"vapour"}),
        ("hold-both", {"both"}),
    ],
)
def test_hold_tells_the_finding(
    scenario: str, findings: set[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trace, truth = generate(scenario, seed=3, rate_hz=2.0)
    path = tmp_path / "hold.csv"
    write_csv(path, Series(trace.time_s, trace.pressure_pa))
    closed_s = next(act.time_s for act in truth.actions if act.action == "close-valve")
    arguments = ["hold", str(path), "--json", "--volume-l", "2", "--closed-s", str(closed_s)]
    told = run_json(arguments, capsys)
    jsonschema.validate(told, schemas.HOLD)
    assert told["finding"] in findings
    if told["leak_pa_s"] is not None:
        expected = told["leak_pa_s"]["best"] * 2e-3
        assert told["leak_pa_m3_s"]["best"] == pytest.approx(expected)


def test_an_earlier_hold_of_a_job_ends_where_it_was_ended(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rng = np.random.default_rng(2)
    noise_pa = rng.normal(0.0, 0.05, 3600)
    leaking = [Reading(float(t), 20.0 + 0.05 * t + noise_pa[t]) for t in range(1200)]
    pulled = [Reading(float(t), 20.0 + noise_pa[t]) for t in range(1200, 3600)]
    items: list[Reading | Mark] = [
        Mark(0.0, "valve-closed"),
        *leaking,
        Mark(1199.5, "hold-over"),
        Mark(1200.0, "valve-opened"),
        *pulled[:600],
        Mark(1800.0, "valve-closed"),
        *pulled[600:],
        Mark(3600.0, "hold-over"),
    ]
    job = write_job(tmp_path / "two.simmerdown", items)
    last = run_json(["hold", str(job), "--json"], capsys)
    first = run_json(["hold", str(job), "--json", "--closed-s", "0"], capsys)
    assert [last["finding"], first["finding"]] == ["held", "leak"]
    assert first["duration_s"] == pytest.approx(1199.0)


@pytest.fixture(scope="module")
def straight_rise(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A quarter of an hour of 0.05 Pa/s."""
    path = tmp_path_factory.mktemp("csv") / "rise.csv"
    times = np.arange(0.0, 900.0)
    rng = np.random.default_rng(1)
    write_csv(path, Series(times, 20 + 0.05 * times + rng.normal(0, 0.05, 900)))
    return path


def test_without_a_volume_there_is_no_throughput(
    straight_rise: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = run_json(["hold", str(straight_rise), "--json"], capsys)
    assert told["finding"] == "leak"
    assert told["leak_pa_s"]["best"] == pytest.approx(0.05, rel=0.02)
    assert told["leak_pa_m3_s"] is None


def test_hold_says_what_to_do_about_a_reading_that_never_moved(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "still.csv"
    write_csv(path, Series(np.arange(0.0, 900.0), np.full(900, 20.0)))
    told = run_json(["hold", str(path), "--json"], capsys)
    jsonschema.validate(told, schemas.HOLD)
    assert told["hold_longer_s"] is None
    assert told["least_hold"]["left_s"] == 0.0
    assert main(["hold", str(path)]) == 0
    *_, last = capsys.readouterr().out.splitlines()
    assert last.startswith("Holding longer does not help")
    assert last.count("Check the gauge") == 1


def test_a_leak_is_told_as_refrigerant_where_both_are_known(
    straight_rise: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["hold", str(straight_rise), "--json", "--volume-l", "2"]
    assert run_json(arguments, capsys)["refrigerant_loss"] is None
    told = run_json([*arguments, "--refrigerant", "R-134a"], capsys)
    jsonschema.validate(told, schemas.HOLD)
    loss = told["refrigerant_loss"]
    # 40 g/yr of R-134a raise 2 L by 27.5 micron in 10 min if molecular, 1.4 if laminar (computed
    # from the flow laws at 20 C); here it is 0.05 Pa/s, 225 micron in 10 min.
    micron = told["leak_pa_s"]["best"] * 600 / 0.1333224
    assert loss["leak_g_per_yr"]["molecular"]["best"] == pytest.approx(40 * micron / 27.5, rel=0.02)
    assert loss["leak_g_per_yr"]["laminar"]["best"] == pytest.approx(40 * micron / 1.4, rel=0.03)
    assert loss["refrigerant"] == "R-134a"
    assert "flow law" in loss["assumption"]
    assert told["least_hold"]["length_s"] == 1200.0
    assert main([*arguments[:2], "--volume-l", "2", "--refrigerant", "R-134a"]) == 0
    assert "laminar" in capsys.readouterr().out


def test_a_missing_file_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["analyse", "/nowhere/at-all.csv"]) == 2
    told = capsys.readouterr()
    assert "/nowhere/at-all.csv" in told.err
    assert told.err.count("\n") == 1


@pytest.mark.parametrize(
    "arguments",
    [
        ["boil"],
        ["analyse"],
        ["analyse", "x.csv", "--flat-min", "soon"],
        ["analyse", "x.csv", "--circuit-c", "900"],
        ["analyse", "x.csv", "--days-open", "-1"],
        ["hold", "x.csv", "--volume-l", "-3"],
        ["hold", "x.csv", "--refrigerant", "R-9"],
    ],
)
def test_wrong_usage_is_one_line_and_exit_two(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize(
    "address",
    ["nonsense", "serial:", "serial:/dev/x?baud=fast", "sim:unheard-of", "tcp:host:99999"],
)
def test_a_wrong_address_is_one_line_and_no_job_is_made(
    address: str, own_folders: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["watch", address, "--for", "1"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert not list(own_folders.rglob("*.simmerdown"))


def test_a_hold_into_which_gas_rushed_says_so_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    t = np.arange(0.0, 700.0)
    pressure_pa = 20.0 + np.random.default_rng(1).normal(0.0, 0.02, len(t))
    pressure_pa[690:] = 38_000.0
    write_csv(tmp_path / "hold.csv", Series(t, pressure_pa))
    assert main(["hold", str(tmp_path / "hold.csv")]) == 0
    first, second, *rest = capsys.readouterr().out.splitlines()
    assert "gas rushed in" in first
    assert second.startswith("It held")
    assert not any("gas rushed in" in line for line in rest)


def test_a_hold_in_a_job_heeds_what_went_over_the_gauges_range(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    noise_pa = np.random.default_rng(2).normal(0.0, 0.02, 700).tolist()
    items: list[Reading | Mark] = [Reading(0.0, 20.0), Mark(0.5, "valve-closed")]
    items += [Reading(1.0 + second, 20.0 + off) for second, off in enumerate(noise_pa)]
    items += [Reading(701.0 + second, 1600.0, status="over-range") for second in range(12)]
    job = write_job(tmp_path / "job.simmerdown", [*items, Mark(713.0, "hold-over")])
    told = run_json(["hold", str(job), "--json"], capsys)
    assert told["finding"] == "held"
    assert "opened-to-air" in {why["code"] for why in told["reasons"]}
    assert not all(check["pass"] for check in told["limits"])
