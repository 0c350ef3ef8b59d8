"""What the fuzzers found once, each kept as an input of its own."""

from io import StringIO
from pathlib import Path
from typing import Any

import pytest

import analysis.hold.watch
from analysis.evacuation import Evacuation
from analysis.hold.finding import analyse_thinned
from analysis.hold.trace import ThinnedHold
from analysis.sample import Mark, Silence
from analysis.snapshot import HoldResult
from analysis.ticks import Ticks
from app.job.recording import load
from app.jobfile.errors import JobFileError
from app.jobfile.jsontext import decode_json
from app.jobfile.readings import decode_readings, encode_readings, why_not
from app.jobfile.rows import decode_row
from app.live.run import Step
from app.output.terminal import Terminal
from app.settings.file import SettingsFileError, load_settings
from app.settings.memory import Memory, Remembered
from app.system.errors import UsageError
from app.words.sentences import Words
from sensors.csv_file import CsvError, read_csv
from sensors.events import Connected, Reading, Rejected, SensorError
from sensors.text_decoder import TextDecoder


@pytest.mark.parametrize("time", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00"])
def test_a_time_that_has_no_date_in_utc(time: str, tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    path.write_text(f"time,pressure_pa\n{time},5\n")
    with pytest.raises(CsvError, match="line 2"):
        read_csv(path)


def test_two_readings_thirty_thousand_years_apart(tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    path.write_text("time_s,pressure_pa\n0,5\n1e12,5\n")
    with pytest.raises(UsageError, match="more than a year"):
        load(path)


def test_the_analysis_judges_a_long_silence_in_few_steps() -> None:
    ticks = Ticks()
    ticks.start(0.0)
    assert sum(1 for _ in ticks.due(1e12, 0.0)) < 40_000
    ticks = Ticks()
    ticks.start(0.0)  # no reading at all: marks only
    assert sum(1 for _ in ticks.due(1e12, None)) < 40_000


@pytest.mark.parametrize(
    "text",
    ["flat_min = 1" + "0" * 400, "flat_min = 1" + "0" * 5000, "unit = " + "[" * 5000, '"\\b" = 1'],
)
def test_settings_of_another_kind(text: str, tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text)
    with pytest.raises(SettingsFileError, match="line 1") as caught:
        load_settings(path)
    assert str(caught.value).isprintable()


def test_nothing_that_a_gauge_writes_reaches_the_terminal_as_a_command() -> None:
    decoder = TextDecoder(is_start_whole=True)
    (rejected,) = decoder.feed(b'{"p": "\\u001b[2J"}\n', 1.0)
    assert isinstance(rejected, Rejected)
    assert "\x1b" not in rejected.why
    assert str(SensorError("no\x1b[2J\n")) == "no?[2J "
    assert str(UsageError("x" * 5000)).endswith("…")


def test_numbers_that_fit_nothing() -> None:
    with pytest.raises(JobFileError, match="out of range"):
        decode_json(b'{"value":' + b"9" * 400 + b"}")
    with pytest.raises(JobFileError, match="time_s"):
        decode_row("mark", b'{"kind":"heat","text":"","time_s":1e300}')
    assert why_not(Reading(1e300, 5.0), 0.0) == "time is no number"
    with pytest.raises(JobFileError, match="time"):
        decode_readings(encode_readings([Reading(1e300, 5.0)]))


def test_a_gauges_name_is_not_obeyed_by_the_terminal() -> None:
    out = StringIO()
    terminal = Terminal(Words(), out)
    terminal.show(Step(Connected(1.0, "gauge\x1b[2J\n12"), None))
    terminal.show(Step(Rejected(1.0, b"\x1b[2J", "odd\x1b[2J"), None))
    assert "\x1b" not in out.getvalue()
    assert out.getvalue().count("\n") == 2


def test_a_hold_in_a_long_silence_is_not_fitted_again_and_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fits: list[float] = []
    plain_fit = analyse_thinned

    def counted(hold: ThinnedHold, **rules: Any) -> HoldResult:
        fits.append(hold.duration_s)
        return plain_fit(hold, **rules)

    monkeypatch.setattr(analysis.hold.watch, "analyse_thinned", counted)
    evacuation = Evacuation()
    for second in range(120):
        evacuation.update(Reading(float(second), 60.0))
        if second == 60:
            evacuation.update(Mark(60.0, "valve-closed"))
    evacuation.update(Silence(30 * 86400.0))
    assert 1 <= len(fits) < 30


def test_a_settings_file_of_any_size_is_not_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(b"#" * (300 * 1024))
    with pytest.raises(SettingsFileError, match="larger than 256 KiB"):
        load_settings(path)


def test_a_memory_that_lies_too_deep_counts_as_none(tmp_path: Path) -> None:
    path = tmp_path / "window.json"
    path.write_text("[" * 100_000)
    assert Memory(path).value == Remembered()
