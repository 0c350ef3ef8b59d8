import argparse
import json
import shutil
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from app.commands import verify as command
from app.jobfile.errors import JobFileError
from app.jobfile.reader import JobReader
from app.jobfile.verify import verify_job

Alter = Callable[..., None]
UNLOCK = "DROP TRIGGER entry_is_never_updated", "DROP TRIGGER entry_is_never_deleted"


@pytest.fixture
def tamper(alter: Alter) -> Callable[[Path, str], None]:
    """Alter rows as somebody would who puts the guards back afterwards."""

    def change(path: Path, statement: str) -> None:
        with JobReader(path) as reader:
            guards = [
                sql
                for (sql,) in reader._connection.execute(
                    "SELECT sql FROM sqlite_schema WHERE type = 'trigger' ORDER BY rowid"
                )
            ]
        alter(path, *UNLOCK, statement, *guards)

    return change


def test_a_whole_chain(long_job: Path) -> None:
    with JobReader(long_job) as reader:
        last = reader.last
        fifth = list(reader.rows())[4].hash
    verdict = verify_job(long_job, fifth)
    assert verdict.is_whole
    assert (verdict.rows, verdict.last_hash) == last
    assert verdict.named_at == 5
    assert verify_job(long_job, bytes(32)).named_at is None


@pytest.mark.parametrize(
    ("statement", "row"),
    [
        ("UPDATE entry SET payload = zeroblob(32) WHERE sequence = 200", 200),
        ("UPDATE entry SET utc = '2031' || substr(utc, 5) WHERE sequence = 7", 7),
        ("UPDATE entry SET kind = 'gap' WHERE sequence = 402", 402),
        ("UPDATE entry SET hash = zeroblob(32) WHERE sequence = 1", 1),
        ("DELETE FROM entry WHERE sequence = 100", 100),
        ("DELETE FROM entry WHERE sequence = 1", 1),
        ("UPDATE entry SET sequence = 500 WHERE sequence = 300", 300),
        ("UPDATE entry SET sequence = -1 WHERE sequence = 300", 300),
    ],
)
def test_the_first_row_that_does_not_fit_is_named(
    long_job: Path, tamper: Callable[[Path, str], None], statement: str, row: int
) -> None:
    tamper(long_job, statement)
    verdict = verify_job(long_job)
    assert not verdict.is_whole
    assert verdict.bad_sequence == row
    assert verdict.rows == row - 1


def test_one_bit_anywhere_in_a_payload_is_found(long_job: Path) -> None:
    with JobReader(long_job) as reader:
        payload = list(reader.rows())[200].payload
    data = bytearray(long_job.read_bytes())
    at = data.index(payload)
    data[at + 100] ^= 1
    long_job.write_bytes(data)
    assert verify_job(long_job).bad_sequence == 201


def test_a_cut_off_end_is_found_by_the_hash_from_the_report(
    long_job: Path, tamper: Callable[[Path, str], None]
) -> None:
    printed = verify_job(long_job).last_hash
    tamper(long_job, "DELETE FROM entry WHERE sequence > 390")
    verdict = verify_job(long_job, printed)
    assert verdict.is_whole
    assert verdict.named_at is None


def test_a_damaged_job_names_the_row_it_stops_at(long_job: Path) -> None:
    at = long_job.stat().st_size // 8192 * 4096
    with long_job.open("rb+") as file:
        file.seek(at)
        file.write(bytes(4096))
    verdict = verify_job(long_job)
    assert not verdict.is_whole
    assert verdict.bad_sequence == verdict.rows + 1
    assert verdict.why is not None
    assert "cannot be read" in verdict.why


@pytest.fixture
def two_gauges(tmp_path: Path) -> Path:
    """A job of version 2, with the rows of a second gauge."""
    kept = Path(__file__).parent / "kept" / "v2-two-gauges.simmerdown"
    return Path(shutil.copy(kept, tmp_path))


@pytest.mark.parametrize("kind", ["pump-readings", "pump-link", "pump-rejected", "readings"])
def test_an_altered_row_of_a_second_gauge_is_named(
    two_gauges: Path, tamper: Callable[[Path, str], None], kind: str
) -> None:
    with JobReader(two_gauges) as reader:
        row = [row.sequence for row in reader.rows() if row.kind == kind][-1]
    tamper(
        two_gauges,
        "UPDATE entry SET payload = CAST(substr(payload, 1, length(payload) - 1) || 'x' AS BLOB) "
        f"WHERE sequence = {row}",
    )
    assert verify_job(two_gauges).bad_sequence == row


def test_readings_cannot_be_passed_from_one_gauge_to_the_other(
    two_gauges: Path, tamper: Callable[[Path, str], None]
) -> None:
    tamper(two_gauges, "UPDATE entry SET kind = 'pump-readings' WHERE kind = 'readings'")
    with JobReader(two_gauges) as reader:
        first = next(row.sequence for row in reader.rows() if row.kind == "pump-readings")
    assert verify_job(two_gauges).bad_sequence == first


def test_a_header_that_claims_an_older_version_is_named(two_gauges: Path, alter: Alter) -> None:
    assert verify_job(two_gauges).is_whole
    alter(two_gauges, "PRAGMA user_version = 1")
    verdict = verify_job(two_gauges)
    assert not verdict.is_whole
    assert verdict.why == "format 1, as the header says, has no rows of kind 'pump-link'"


# -- the command

SCHEMA = {
    "type": "object",
    "additionalProperties": False,
    "required": ["version", "is_whole", "rows", "last_hash", "first_bad_row", "text"],
    "properties": {
        "version": {"const": 1},
        "is_whole": {"type": "boolean"},
        "rows": {"type": "integer", "minimum": 0},
        "last_hash": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
        "first_bad_row": {"type": ["integer", "null"]},
        "hash_asked_for": {"type": ["string", "null"], "pattern": "^[0-9a-f]{64}$"},
        "hash_is_row": {"type": ["integer", "null"]},
        "text": {"type": "string", "minLength": 20},
    },
}


def run(*words: str) -> int:
    parser = argparse.ArgumentParser()
    command.add_parser(parser.add_subparsers())
    args = parser.parse_args(["verify", *words])
    return int(args.run(args))


def test_the_command_says_one_sentence(long_job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(long_job)) == 0
    out, err = capsys.readouterr()
    assert "is whole: 402 rows, last hash" in out
    assert out.count("\n") == 1
    assert err == ""


def test_the_command_on_a_broken_chain(
    long_job: Path, tamper: Callable[[Path, str], None], capsys: pytest.CaptureFixture[str]
) -> None:
    tamper(long_job, "UPDATE entry SET utc = '' WHERE sequence = 33")
    assert run(str(long_job)) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "at row 33" in err
    assert err.count("\n") == 1


def test_the_command_prints_one_json_object(
    long_job: Path, tamper: Callable[[Path, str], None], capsys: pytest.CaptureFixture[str]
) -> None:
    last = verify_job(long_job).last_hash.hex()
    assert run(str(long_job), "--json", "--hash", last.upper()) == 0
    good = json.loads(capsys.readouterr().out)
    jsonschema.validate(good, SCHEMA)
    assert good["hash_is_row"] == good["rows"] == 402
    tamper(long_job, "UPDATE entry SET utc = '' WHERE sequence = 33")
    assert run(str(long_job), "--json") == 2
    bad = json.loads(capsys.readouterr().out)
    jsonschema.validate(bad, SCHEMA)
    assert bad["first_bad_row"] == 33


def test_the_command_on_a_hash_that_is_not_there(
    long_job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(str(long_job), "--hash", "0" * 64) == 2
    assert "not in it" in capsys.readouterr().err


def test_the_command_refuses_what_is_no_hash(
    long_job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as error:
        run(str(long_job), "--hash", "12")
    assert error.value.code == 2
    assert "64 hexadecimal digits" in capsys.readouterr().err


def test_the_command_leaves_what_is_no_job_to_the_command_line(tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match="does not exist"):
        run(str(tmp_path / "none"))
