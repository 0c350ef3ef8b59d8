"""``simmerdown export JOB``: the readings as CSV, all else as JSON, for other programs."""

import argparse
import json
import os
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from app.jobfile.readings import Readings
from app.output.export_json import record_json
from app.output.stdout import print_json
from app.report.record import Record, read_record
from app.system.atomic import settle
from app.system.errors import UsageError
from sensors.csv_file import write_csv
from sensors.units import PA_PER_UNIT


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "export",
        help="write a job's readings as CSV, and its marks, holds and findings as JSON",
        description="Writes NAME.csv and NAME.json, and NAME-at-pump.csv where there was a second "
        "gauge. Times are seconds since the first reading. "
        "'simmerdown analyse NAME.csv --record NAME.json' sees what was seen of the job.",
    )
    parser.add_argument("job", type=Path, metavar="JOB", help="the job file")
    parser.add_argument(
        "--out", type=Path, metavar="FOLDER", help="where to (default: beside the job file)"
    )
    parser.add_argument(
        "--unit",
        choices=tuple(PA_PER_UNIT),
        default="pa",
        help="unit of the CSV file's pressures (default pa, the only one without rounding)",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write all files, or none."""
    folder: Path = args.out or args.job.parent
    record = read_record(args.job)
    if not os.path.isdir(folder):
        raise UsageError(f"{folder} is no folder: give one that is there with --out.")
    ends = (".csv", "-at-pump.csv", ".json")
    readings, at_pump, record_file = targets = [folder / f"{args.job.stem}{end}" for end in ends]
    for target in targets:
        if os.path.exists(target):
            raise UsageError(f"{target} exists already: choose another folder with --out.")
    if not len(record.readings):
        raise UsageError(f"{args.job} holds no readings: there is nothing to export.")
    try:
        _write(record, readings, at_pump, record_file, args.unit)
    except OSError as error:
        raise UsageError(f"{folder} takes no file: {error.strerror or error}.") from error
    if args.json:
        print_json(
            {
                "version": 1,
                "readings": str(readings),
                "readings_at_pump": str(at_pump) if len(record.at_pump) else None,
                "record": str(record_file),
                "samples": len(record.readings),
                "is_whole": record.verdict.is_whole,
                "last_hash": record.last_hash.hex(),
            }
        )
        return 0
    print("\n".join(str(target) for target in targets if target.exists()))
    if not record.verdict.is_whole:
        print("The job file is not whole: only what can be read of it was exported.")
    return 0


def _write(record: Record, readings: Path, at_pump: Path, record_file: Path, unit: str) -> None:
    told = record_json(record, readings.name)
    part = record_file.with_name(f".{record_file.name}.part")
    try:
        # A file name that is no UTF-8 stands as its escape, which JSON knows as well.
        text = json.dumps(told, ensure_ascii=False, allow_nan=False, indent=1) + "\n"
        part.write_text(text, encoding="utf-8", errors="backslashreplace")
        _write_readings(record, record.readings, readings, unit)
        if len(record.at_pump):
            _write_readings(record, record.at_pump, at_pump, unit)
        settle(part, record_file)  # last: where it is, all are
    except BaseException:
        for made in (part, readings, at_pump):
            with suppress(OSError):
                made.unlink()
        raise


def _write_readings(record: Record, held: Readings, target: Path, unit: str) -> None:
    series = held.series()
    write_csv(target, replace(series, time_s=series.time_s - record.zero_s), unit)
