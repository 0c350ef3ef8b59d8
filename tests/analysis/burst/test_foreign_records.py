"""The burst detector, as it is set, on records that nobody here made.

None of them is a vacuum; each is brought to the form of a gauge's trace by a plain rule that is
written beside it, and nothing of the detector is changed. What is asserted is what was seen.
"""

import importlib.util
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import pywt
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from analysis.burst.detector import BurstDetector
from analysis.snapshot import Burst

Floats = NDArray[np.float64]

STATIONS = ("UH1._.SHZ", "UH2._.SHZ", "UH3._.SHZ", "UH4._.EHZ")
STATIONS_NEEDED = 3  # as ObsPy's own test of these records asks for: coincidence of three
BLOCK_S = 0.5  # its short window
FIRST_S = 16 * 3600 + 24 * 60 + 3.68  # of the day, of the first sample at the three stations
# ObsPy 1.5, obspy/signal/tests/test_trigger.py, test_coincidence_trigger: three events, no more.
EVENTS_S = (
    (16 * 3600 + 24 * 60 + 31, 16 * 3600 + 24 * 60 + 35),
    (16 * 3600 + 26 * 60 + 59, 16 * 3600 + 27 * 60 + 3),
    (16 * 3600 + 27 * 60 + 27, 16 * 3600 + 27 * 60 + 33),
)
COUNTS_PER_PA = 33778.29  # of station I59H1, from the response file beside its record
AT_PA = 60.0  # 450 micron, where bursts are watched for
GAUGE_NOISE = 0.005  # of the reading: a thermal gauge's, common practice, no source


def confirmed(times_s: NDArray[Any], pressures_pa: NDArray[Any]) -> list[Burst]:
    detector = BurstDetector()
    found: list[Burst] = []
    for time_s, pressure_pa in zip(times_s.tolist(), pressures_pa.tolist(), strict=True):
        found += detector.update(time_s, pressure_pa)
    return [burst for burst in found if burst.state == "confirmed"]


def records(name: str) -> Any:
    """Read one of ObsPy's records, with its import's warnings kept out of these tests."""
    spec = importlib.util.find_spec("obspy")
    assert spec is not None
    assert spec.origin is not None
    path = Path(spec.origin).parent / "signal" / "tests" / "data" / name
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from obspy import read

        return read(str(path))[0]


def seismic_trace() -> tuple[Floats, Floats]:
    """Ground motion as a level: one reading each 0.5 s, a Pa for each decibel.

    Band-pass 10 to 20 Hz and root mean square over 0.5 s, each station over its own median, as
    for ObsPy's test; the third strongest of the four, for what three stations saw together. In
    decibels, because the events differ by a factor of 100; on 60 Pa, to be a positive pressure.
    """
    levels = []
    for station in STATIONS:
        trace = records(f"BW.{station}.D.2010.147.cut.slist.gz")
        rate_hz = trace.stats.sampling_rate
        band = butter(4, [10.0, 20.0], "bandpass", fs=rate_hz, output="sos")
        moved = sosfilt(band, np.asarray(trace.data, dtype=np.float64))
        width = round(BLOCK_S * rate_hz)
        blocks = moved[: len(moved) // width * width].reshape(-1, width)
        power = (blocks * blocks).mean(axis=1)
        levels.append(power / np.median(power))
    count = min(len(level) for level in levels)
    seen = np.sort([level[:count] for level in levels], axis=0)[-STATIONS_NEEDED]
    times_s = (np.arange(count, dtype=np.float64) + 0.5) * BLOCK_S
    return times_s, AT_PA + np.asarray(10.0 * np.log10(seen), dtype=np.float64)


def test_finds_the_three_earthquakes_and_at_most_one_thing_more() -> None:
    times_s, levels = seismic_trace()
    onsets = [FIRST_S + burst.onset_s for burst in confirmed(times_s, levels)]
    for from_s, until_s in EVENTS_S:
        assert sum(from_s <= onset_s <= until_s for onset_s in onsets) == 1
    # At 16:25:26 three stations move at twice their usual; ObsPy's threshold is 3.5.
    others = [o for o in onsets if not any(a <= o <= b for a, b in EVENTS_S)]
    assert len(others) <= 1
    assert all(16 * 3600 + 25 * 60 + 25 < onset_s < 16 * 3600 + 25 * 60 + 28 for onset_s in others)


def infrasound() -> tuple[Floats, Floats]:
    """Air pressure at station I59H1, ten a second, on top of 60 Pa: no event, but drift."""
    trace = records("IM.I59H1..BDF_2020_10_31.mseed")
    pressures_pa = np.asarray(trace.data, dtype=np.float64)[::2] / COUNTS_PER_PA
    return np.arange(len(pressures_pa)) * 2.0 / trace.stats.sampling_rate, AT_PA + pressures_pa


def test_marks_hardly_anything_on_drifting_air_pressure_read_by_a_gauge() -> None:
    """Twenty readings of the record, two and a half hours: two marks at most were seen."""
    times_s, pressures_pa = infrasound()
    marks = []
    for seed in range(20):
        noise = np.random.default_rng(seed).normal(0.0, GAUGE_NOISE, len(times_s))
        marks.append(len(confirmed(times_s, pressures_pa * (1.0 + noise))))
    assert sum(marks) <= 3
    assert max(marks) <= 1


@pytest.mark.xfail(reason="a swell of some seconds, far over the noise, is taken for bursts")
def test_marks_nothing_on_the_same_air_pressure_without_a_gauges_noise() -> None:
    """The barometer's noise is under 0.001 Pa, the air's swell some 0.3 Pa: some is marked."""
    assert confirmed(*infrasound()) == []


def test_finds_most_heartbeats_and_not_too_much_besides() -> None:
    """PyWavelets' ECG, one sample a second and a tenth of a Pa a step, on 60 Pa.

    A beat has a sharp peak of some 200 steps, two round waves, and a base that it undershoots and
    comes back from. Those are rises too, and some are marked. It falls as quickly as it rises,
    which no burst does, so that close decisions abound: the record is begun at twenty places.
    All of the 60 beats were seen, 9 to 16 marks in all.
    """
    record = np.asarray(pywt.data.ecg(), dtype=np.float64)
    beats_s = (190, 518, 848)
    for beat_s in beats_s:
        assert record[beat_s] == record[beat_s - 50 : beat_s + 50].max()
    seen = dict.fromkeys(beats_s, 0)
    for first_s in range(0, 60, 3):
        found = confirmed(np.arange(first_s, len(record)) * 1.0, AT_PA + 0.1 * record[first_s:])
        assert len(found) <= 5.5 * len(beats_s)
        for beat_s in beats_s:
            near = [b for b in found if beat_s - 12.0 < b.onset_s < beat_s and b.rise_pa > 10.0]
            seen[beat_s] += bool(near)
    # The first comes before a fall was ever measured: 12 of 20 were seen while any was as likely.
    assert min(seen.values()) >= 18
