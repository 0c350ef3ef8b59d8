"""Run the program's own analysis over a made-up trace, reading by reading, through its one door."""

from dataclasses import dataclass, field
from itertools import repeat

from analysis.evacuation import Evacuation
from analysis.sample import Mark, Silence, Status
from analysis.snapshot import Burst, Caution, Snapshot
from tests.bench.flat_score import SHARES, Forecast
from tests.bench.traces import Trace


@dataclass(frozen=True, slots=True)
class Shown:
    """A reading as the analysis wants it."""

    time_s: float
    pressure_pa: float
    temperature_c: float | None = None
    status: Status = "ok"


@dataclass
class Outcome:
    """What the analysis said of one trace."""

    bursts: dict[int, Burst] = field(default_factory=dict)
    forecasts: dict[float, Forecast | None] = field(default_factory=dict)  # by time asked
    changes: list[Caution] = field(default_factory=list)  # cautions as raised and lowered
    flat_reached_s: float | None = None

    @property
    def cautions(self) -> list[Caution]:
        """The cautions as raised."""
        return [c for c in self.changes if c.until_s is None]

    @property
    def confirmed(self) -> list[Burst]:
        return sorted(
            (b for b in self.bursts.values() if b.state == "confirmed"), key=lambda b: b.onset_s
        )


def run(trace: Trace) -> Outcome:
    """Feed the trace to the analysis and write down what it says, when it says it."""
    out, evacuation = Outcome(), Evacuation()
    asked = [] if trace.law_flat_s is None else [s * trace.law_flat_s for s in SHARES]
    marks = [Mark(at_s, kind) for at_s, kind in trace.marks]  # type: ignore[arg-type]
    last: Snapshot | None = None
    warmth = repeat(None) if trace.temperature_c is None else trace.temperature_c.tolist()
    readings = zip(trace.time_s.tolist(), trace.pressure_pa.tolist(), warmth, strict=False)
    for time_s, pressure_pa, celsius in readings:
        while asked and time_s > asked[0]:
            out.forecasts[asked.pop(0)] = _forecast(last)
        while marks and marks[0].time_s <= time_s:
            last = _note(out, evacuation.update(marks.pop(0)))
        if last is not None and time_s > last.time_s + 5:  # the program's clock ticks in a gap
            for k in range(1, int((time_s - last.time_s) / 5)):
                _note(out, evacuation.update(Silence(last.time_s + 5 * k)))
        last = _note(out, evacuation.update(Shown(time_s, pressure_pa, celsius)))
    return out


def _forecast(snapshot: Snapshot | None) -> Forecast | None:
    flat = snapshot.flat if snapshot is not None else None
    if flat is None or flat.flat_at_s is None:
        return None
    assert flat.flat_low_s is not None
    assert flat.flat_high_s is not None
    return flat.flat_low_s, flat.flat_at_s, flat.flat_high_s


def _note(out: Outcome, snapshot: Snapshot) -> Snapshot:
    for burst in snapshot.bursts:
        out.bursts[burst.number] = burst
    out.changes += snapshot.caution_changes
    out.flat_reached_s = snapshot.flat_reached_s
    return snapshot
