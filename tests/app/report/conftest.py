"""Jobs made as a live run makes them, but at once: the analysis writes its own rows."""

from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path

import pytest

from analysis.evacuation import Evacuation
from analysis.sample import Mark
from app.jobfile.backlog import as_note
from app.jobfile.new import new_job
from app.jobfile.readings import encode_readings
from app.jobfile.rows import READINGS, LinkChange, Note, encode_note
from app.jobfile.writer import JobWriter
from app.live.run import notes
from app.report.course import Course, follow
from app.report.record import Record, read_record
from sensors.events import Reading
from sensors.sim.simulation import generate

START = datetime(2030, 1, 31, 9, 5, tzinfo=UTC)
NOW = datetime(2030, 2, 1, 8, 0, tzinfo=UTC)
SERIAL = LinkChange(0.0, "connected", "/dev/ttyUSB0 at 9600 baud")
FIELDS: Mapping[str, object] = {
    "vehicle": "grey van, invented",
    "vehicle_kind": "hybrid",
    "refrigerant": "R-1234yf",
    "volume_m3": 0.0024,
    "joints": [{"name": "condenser in", "evidence": "new O-ring", "state": "renewed"}],
}
Items = Iterable[Reading | Mark]
MakeJob = Callable[..., Path]


def played(scenario: str, duration_s: float, from_s: float = 0.0, rate_hz: float = 1.0) -> Items:
    """Give the readings of a scenario, beginning at a job time."""
    trace, _ = generate(scenario, seed=3, rate_hz=rate_hz, duration_s=duration_s)
    times, pressures = trace.time_s.tolist(), trace.pressure_pa.tolist()
    return [Reading(from_s + t, p) for t, p in zip(times, pressures, strict=True)]


def held(scenario: str, for_s: float = 420.0, *, is_ended: bool = True) -> list[Reading | Mark]:
    """Give a wet circuit's first minutes, and then a standing test."""
    items: list[Reading | Mark] = [*played("wet", 600.0), Mark(600.5, "valve-closed")]
    items += played(scenario, for_s, from_s=601.0)
    if is_ended:
        items.append(Mark(602.0 + for_s, "hold-over"))
    return items


def write_job(
    path: Path,
    items: Items,
    *,
    title: str = "Condenser renewed",
    fields: Mapping[str, object] = FIELDS,
    extra: Iterable[Note] = (SERIAL,),
) -> Path:
    job = new_job(path.parent, name=path.name, title=title, fields=fields, now=lambda: START)
    evacuation, before = Evacuation(), None
    with JobWriter(job, now=lambda: START) as writer:
        for note in extra:
            writer.append(*encode_note(note))
        block: list[Reading] = []
        for item in items:
            after = evacuation.update(item)
            found = [*notes(before, after), *map(as_note, after.caution_changes)]
            before = after
            if isinstance(item, Reading):
                block.append(item)
            else:
                found.insert(0, item)
            if block and (found or len(block) >= 500):
                writer.append(READINGS, encode_readings(block))
                block = []
            for note in found:
                writer.append(*encode_note(note))
        if block:
            writer.append(READINGS, encode_readings(block))
        writer.commit()
    return job


@pytest.fixture
def make_job(tmp_path: Path) -> MakeJob:
    def make(items: Items, **options: object) -> Path:
        return write_job(tmp_path / "job.simmerdown", items, **options)  # type: ignore[arg-type]

    return make


@pytest.fixture(scope="package")
def leak_job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wet circuit and a standing test that finds a leak."""
    return write_job(tmp_path_factory.mktemp("leak") / "leak.simmerdown", held("hold-leak"))


@pytest.fixture(scope="package")
def leak(leak_job: Path) -> tuple[Record, Course]:
    """The same, read and analysed once."""
    record = read_record(leak_job)
    return record, follow(record)
