"""Jobs kept as older programs wrote them (invented data): each opens, verifies, and goes on.

Written by the recorder of its time: ``v1-first`` when there was nothing but the recorder,
``v1-run`` with the first whole run, ``v1-rig`` with blank-off and pressure tests, ``v1-last`` by
the last program that wrote version 1, ``v2-two-gauges`` by the first that wrote version 2. A change
of the format adds a file here and alters none.
"""

import shutil
from datetime import timedelta
from pathlib import Path

import pytest

from app.gauge.link import AtPump
from app.jobfile.errors import JobFileError
from app.jobfile.reader import JobReader, Row
from app.jobfile.readings import encode_readings
from app.jobfile.rows import ALL_READINGS, PUMP_READINGS, FormatChange
from app.jobfile.schema import USER_VERSION
from app.jobfile.share import share_job
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from app.live.recorder import Recorder
from app.report.record import read_record
from sensors.events import Connected, Reading
from tests.app.jobfile.conftest import START

KEPT = Path(__file__).parent / "kept"
LATER = START + timedelta(hours=3)
# rows and last hash as the program of the time verified them
LAST = {
    "v1-first": (27, "09ea51004e2b53e409c212e15840868cc16b465378f041b7ec6ed6e55a755ee1"),
    "v1-run": (29, "756d05663182cb733cfbfa9d5a72ee21b76bfb6f8c4931dd33a86df6df6fe5da"),
    "v1-rig": (37, "b7472d557cc41b44773857b356fc019b76692119beab190ed2984d2f166d733a"),
    "v1-last": (37, "45270da2d867361acb34c4f5959a3c49045e96de7885f23f7c59920aa772b2c1"),
    "v2-two-gauges": (44, "1e998ebd6e898040928976004d98f6460b454d1f899bcebc8e6641b3c70ebf86"),
}


@pytest.fixture(params=sorted(path.stem for path in KEPT.glob("*.simmerdown")))
def kept(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    return Path(shutil.copy(KEPT / f"{request.param}.simmerdown", tmp_path))


def rows_of(path: Path) -> list[Row]:
    with JobReader(path) as reader:
        return list(reader.rows())


def version_of(path: Path) -> int:
    with JobReader(path) as reader:
        return reader.version


def goes_on(path: Path, *items: Reading | AtPump) -> None:
    with Recorder(path, now=lambda: LATER, steady=lambda: 0.0, commit_every_s=3600.0) as recorder:
        for item in items:
            recorder.put(item)
        assert recorder.flush()


def test_none_is_missing_and_none_was_altered() -> None:
    assert {path.stem for path in KEPT.glob("*.simmerdown")} == set(LAST)
    for name, last in LAST.items():
        verdict = verify_job(KEPT / f"{name}.simmerdown")
        assert (verdict.rows, verdict.last_hash.hex()) == last


def test_it_opens_with_all_that_it_holds(kept: Path) -> None:
    with JobReader(kept) as reader:
        readings, fields = reader.readings(), reader.fields()
        notes = [note for _, note in reader.notes()]
        at_pump = reader.readings("pump")
        version = reader.version
    assert kept.stem.startswith(f"v{version}-")
    assert len(readings) == 500
    assert len(at_pump) == (250 if version == 2 else 0)
    assert fields["vehicle"] == "invented grey van"
    blocks = [row for row in rows_of(kept) if row.kind in ALL_READINGS]
    assert len(notes) + len(blocks) == LAST[kept.stem][0]


def test_it_is_read_for_the_report(kept: Path) -> None:
    record = read_record(kept)
    assert record.verdict.is_whole
    assert record.fields.vehicle == "invented grey van"
    assert len(record.findings) == 1
    assert record.last_hash.hex() == LAST[kept.stem][1]


def test_it_goes_on_as_what_it_was_and_nothing_before_is_altered(kept: Path) -> None:
    before, version = rows_of(kept), version_of(kept)
    goes_on(kept, Reading(10_801.0, 5.0), Reading(10_802.0, 5.0))
    assert version_of(kept) == version
    assert rows_of(kept)[: len(before)] == before
    assert [row.kind for row in rows_of(kept)[len(before) :]] == ["resumed", "readings"]
    assert verify_job(kept, before[-1].hash).named_at == before[-1].sequence


def test_a_second_gauge_raises_its_version_by_an_added_row(kept: Path) -> None:
    before, version = rows_of(kept), version_of(kept)
    goes_on(
        kept,
        AtPump(Connected(10_800.5, "second gauge")),
        Reading(10_801.0, 50.0),
        AtPump(Reading(10_801.0, 5.0)),
    )
    assert version_of(kept) == USER_VERSION == 2
    rows = rows_of(kept)
    assert rows[: len(before)] == before
    added = [row.kind for row in rows[len(before) :]]
    raised = ["format"] if version < 2 else []
    assert added == ["resumed", *raised, "pump-link", "readings", "pump-readings"]
    with JobReader(kept) as reader:
        changes = [note for _, note in reader.notes("format")]
        assert [change.version for change in changes if isinstance(change, FormatChange)] == [
            2 for _ in raised
        ]
        assert reader.readings("pump").pressure_pa.tolist()[-1] == 5.0
        assert reader.readings().pressure_pa.tolist()[-1] == 50.0
    verdict = verify_job(kept, before[-1].hash)
    assert verdict.is_whole
    assert verdict.named_at == before[-1].sequence


def test_a_commit_that_fails_leaves_the_old_version(kept: Path) -> None:
    before, version = rows_of(kept), version_of(kept)
    with JobWriter(kept) as writer:
        writer.connection.execute(
            "CREATE TEMP TRIGGER full BEFORE INSERT ON main.entry WHEN NEW.kind = 'pump-readings' "
            "BEGIN SELECT RAISE(ABORT, 'as when the disk is full'); END"
        )
        writer.append(PUMP_READINGS, encode_readings([Reading(10_801.0, 5.0)]))
        with pytest.raises(JobFileError, match="cannot be written"):
            writer.commit()
        assert version_of(kept) == version
        writer.connection.execute("DROP TRIGGER temp.full")
        writer.commit()
    assert version_of(kept) == 2
    rows = rows_of(kept)
    assert rows[: len(before)] == before
    assert verify_job(kept).is_whole


def test_a_copy_to_send_keeps_version_and_chain(kept: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.simmerdown"
    share_job(kept, copy)
    assert version_of(copy) == version_of(kept)
    assert rows_of(copy) == rows_of(kept)
