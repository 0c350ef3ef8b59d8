"""Job files from strangers: bytes damaged, rows forged with a chain that fits, hostile layouts."""

import json
import random
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from hypothesis import strategies as st

from analysis.evacuation import Evacuation
from analysis.sample import Mark
from app.job.fields import job_fields
from app.job.history import history_of
from app.job.recording import load, load_job
from app.jobfile.header import journal_of
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.share import share_job
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from app.live.recorder import Recorder
from app.output.export_json import record_json
from app.report.course import follow
from app.report.record import read_record
from app.report.writer import write_page
from app.rig.rig_tests import blank_off_of, pressure_test_of
from app.system.errors import UsageError
from tests.fuzz.mangle import mangled
from tests.fuzz.rows import FORGED, KINDS, SOUND
from tests.fuzz.scratch import folder
from tests.fuzz.target import Outcome, Target, check_sentence

START = datetime(2030, 1, 31, 9, 5, tzinfo=UTC)
_LAYOUTS = [
    "CREATE TRIGGER more AFTER INSERT ON entry BEGIN SELECT 1; END",
    "CREATE VIEW more AS SELECT load_extension('x')",
    "CREATE TABLE more (x DEFAULT (randomblob(1000000000)))",
    "CREATE INDEX more ON entry (kind) WHERE length(payload) > 5",
    "DROP TRIGGER entry_is_never_updated",
    "INSERT INTO entry VALUES (90, 'edit', '', zeroblob(3000000), zeroblob(32))",
    "INSERT INTO entry VALUES (-5, 'edit', '', x'', x'')",
    "INSERT INTO entry VALUES (9223372036854775807, 'mark', '', x'00', x'')",
    "INSERT INTO entry VALUES (91, char(27) || '[2J', char(0), x'', x'')",
    "PRAGMA user_version = 1",
    "PRAGMA user_version = 2",
    "PRAGMA user_version = 3",
    "PRAGMA user_version = 0",
    "PRAGMA application_id = 1",
    "PRAGMA encoding = 'UTF-16'",
    "PRAGMA journal_mode = WAL",
    "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = replace(sql, 'kind TEXT', "
    "'kind TEXT DEFAULT (load_extension(1))')",
    "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = NULL",
    "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET rootpage = 1",
    "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET tbl_name = 'sqlite_schema'",
    "PRAGMA writable_schema = ON; INSERT INTO sqlite_schema VALUES ('table','x','x',0,"
    "'CREATE VIRTUAL TABLE x USING fts5(y)')",
]  # fmt: skip
_rows = st.lists(st.tuples(st.sampled_from(KINDS), st.sampled_from(FORGED)), max_size=4)
_sound = st.lists(st.sampled_from(SOUND), max_size=5)
_layout = st.one_of(st.just(""), st.just(""), st.just(""), st.sampled_from(_LAYOUTS))
INPUTS = st.tuples(_sound, _rows, _sound, _layout, st.integers(0, 2**32))
Made = tuple[list[tuple[str, bytes]], list[tuple[str, bytes]], list[tuple[str, bytes]], str, int]
_VARIANTS = 3


@cache
def _blank() -> bytes:
    path = new_job(folder(), name="blank", title="Invented van", now=lambda: START)
    return path.read_bytes()


def spread(made: Made) -> Iterator[tuple[bytes, bytes]]:
    """Yield the job as made, then with its bytes changed; each with what lies beside it."""
    before, forged, after, layout, number = made
    path = folder() / "making.simmerdown"
    path.write_bytes(_blank())
    with JobWriter(path) as writer:
        for kind, payload in [*before, *forged, *after]:
            writer.append(kind, payload)
        writer.commit()
    if layout:
        connection = sqlite3.connect(path, isolation_level=None)
        try:
            connection.executescript(layout)
        except sqlite3.Error:
            pass  # refused by SQLite itself
        finally:
            connection.close()
    data = path.read_bytes()
    for name in ("making.simmerdown", "making.simmerdown-wal", "making.simmerdown-shm"):
        (folder() / name).unlink(missing_ok=True)
    yield data, b""
    chance = random.Random(number)
    for _ in range(_VARIANTS):
        journal = mangled(data[:600], chance) if chance.random() < 0.3 else b""
        yield mangled(data, chance), journal


def use(made: tuple[bytes, bytes]) -> Outcome:
    """Open, check, analyse, print, copy and go on with it; its bytes stay as they are till then."""
    data, journal = made
    path = folder() / "stranger.simmerdown"
    path.write_bytes(data)
    if journal:
        journal_of(path).write_bytes(journal)
    ends = [
        _ends(lambda: _read(path, is_salvage=False)),
        _ends(lambda: _read(path, is_salvage=True)),
        _ends(lambda: verify_job(path)),
        _ends(lambda: load(path)),
        _ends(lambda: _printed(path)),
        _ends(lambda: share_job(path, folder() / "copy.simmerdown")),
    ]
    assert path.read_bytes() == data, "reading has written"
    _ends(lambda: _gone_on_with(path))
    for left in folder().iterdir():
        assert left.name in ("blank", "copy.simmerdown", path.name, journal_of(path).name), left
        if left.name != "blank":
            left.unlink()
    return ends[0]


def _ends(work: object) -> Outcome:
    assert callable(work)
    try:
        work()
    except UsageError as error:
        check_sentence(str(error))
        return "refused"
    return "read"


def _read(path: Path, *, is_salvage: bool) -> None:
    with JobReader(path, is_salvage=is_salvage) as reader:
        sequences = [row.sequence for row in reader.rows()]
        assert sequences == sorted(set(sequences))
        list(reader.notes())
        values = reader.fields()
        reader.readings()
        assert reader.start is not None
    fields = job_fields(values)
    history_of(fields)
    blank_off_of(values)
    pressure_test_of(values)
    json.dumps(fields.values(), allow_nan=False)


def _printed(path: Path) -> None:
    record = read_record(path)
    write_page(record, follow(record), now=START)
    told = record_json(record, "x.csv")
    json.dumps(told, ensure_ascii=False, allow_nan=False).encode()


def _gone_on_with(path: Path) -> None:
    was_whole = verify_job(path).is_whole
    evacuation = Evacuation()
    for item in load_job(path).items():
        evacuation.update(item)
    with Recorder(path) as recorder:
        recorder.put(Mark(recorder.clock.now_s(), "note", "gone on with"))
        assert recorder.flush(), recorder.state.why
    assert verify_job(path).is_whole == was_whole


TARGET = Target("job", INPUTS, use, examples=15, spread=spread)
