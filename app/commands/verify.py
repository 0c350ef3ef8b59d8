"""``simmerdown verify JOB``: tells whether the record is as it was written."""

import argparse
import sys
from pathlib import Path
from typing import Any

from app.jobfile.verify import Verdict, verify_job
from app.output.stdout import print_json
from app.words.counted import counted

DONE, UNREADABLE = 0, 2


def add_parser(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "verify",
        help="check that a job's record is as it was written",
        description="Recomputes a job's chain of hashes and names the first row that does not fit.",
    )
    parser.add_argument("job", metavar="JOB", type=Path, help="the job file")
    parser.add_argument(
        "--hash",
        type=_hash,
        metavar="HEX",
        help="a hash from a printed report: must be in the chain",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check a job; 0 when the chain is whole (and has the hash asked for), else 2.

    Raises
    ------
    JobFileError
        If it is no job of ours, or nothing of it can be read.
    """
    verdict = verify_job(args.job, args.hash)
    sentence = _sentence(args.job, verdict, args.hash)
    is_good = verdict.is_whole and (args.hash is None or verdict.named_at is not None)
    if args.json:
        print_json(_as_json(verdict, args.hash, sentence))
    else:
        print(sentence, file=sys.stdout if is_good else sys.stderr)
    return DONE if is_good else UNREADABLE


def _sentence(job: Path, verdict: Verdict, named: bytes | None) -> str:
    if not verdict.is_whole:
        return (
            f"{job.name} does not fit its chain of hashes at row {verdict.bad_sequence}: "
            f"{verdict.why}."
        )
    rows = counted(verdict.rows, "rows")
    if named is not None and verdict.named_at is None:
        return (
            f"{job.name} is whole by itself, {rows}, but the hash {named.hex()} is "
            "not in it: it is another job, or rows were cut off or written anew."
        )
    place = "" if named is None else f"; the hash asked for is row {verdict.named_at}"
    return f"{job.name} is whole: {rows}, last hash {verdict.last_hash.hex()}{place}."


def _as_json(verdict: Verdict, named: bytes | None, sentence: str) -> dict[str, Any]:
    return {
        "version": 1,
        "is_whole": verdict.is_whole,
        "rows": verdict.rows,
        "last_hash": verdict.last_hash.hex(),
        "first_bad_row": verdict.bad_sequence,
        "hash_asked_for": None if named is None else named.hex(),
        "hash_is_row": verdict.named_at,
        "text": sentence,
    }


def _hash(text: str) -> bytes:
    try:
        value = bytes.fromhex(text)
        if len(value) == 32:
            return value
    except ValueError:
        pass
    raise argparse.ArgumentTypeError(f"{text[:80]!r} is no SHA-256 hash of 64 hexadecimal digits")
