"""``simmerdown report JOB``: the hand-over record to keep."""

import argparse
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from app.system.errors import UsageError
from app.system.qt_libraries import install_command, missing_packages
from sensors.units import PA_PER_UNIT


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "report",
        help="make the record of a job as a PDF",
        description="Makes A4 pages from the job file alone: what was found and how to check "
        "it against the job file later; on the technical page, what that rests on; and, where the "
        "first page has no room for all of them, the joints and what happened in full.",
    )
    parser.add_argument("job", type=Path, metavar="JOB", help="the job file")
    parser.add_argument(
        "--out", type=Path, metavar="FILE", help="the PDF (default: beside the job file)"
    )
    parser.add_argument(
        "--unit", choices=tuple(PA_PER_UNIT), default="micron", help="unit of the pressures"
    )
    parser.add_argument("--replace", action="store_true", help="replace a file that is there")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Make the page and tell where it is."""
    try:
        from app.report.pdf import make_report
    except ImportError as error:
        missing = missing_packages()
        if not missing:
            raise
        raise UsageError(
            f"The report needs system libraries that are missing: {install_command(missing)}"
        ) from error
    target: Path = args.out or args.job.parent / f"{args.job.stem}.pdf"
    record = make_report(
        args.job, target, now=datetime.now(UTC), unit=args.unit, may_replace=args.replace
    )
    print(f"{target} (last hash {record.last_hash.hex()})")
    return 0
