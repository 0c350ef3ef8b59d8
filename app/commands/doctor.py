"""``simmerdown doctor``: what works on this machine, and how to mend what does not."""

import argparse
from dataclasses import asdict
from typing import Any

from app import __version__
from app.output.stdout import print_json
from app.system.checkup import Check, checkup
from app.system.private import without_private

_MARKS = {"ok": "ok ", "attention": "!  ", "fault": "NO "}


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "doctor",
        help="say what works on this machine",
        description="Looks at everything that Simmerdown needs and says how to mend what is "
        "missing. Tells no names and no full paths, so that it can be sent to somebody.",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check and tell."""
    checks = []
    for check in map(_shown, checkup()):
        checks.append(check)
        if not args.json:
            print(f"{_MARKS[check.state]} {check.name}: {check.text}", flush=True)
            if check.fix:
                print(f"      {check.fix}", flush=True)
    if args.json:
        print_json(
            {"version": 1, "program": __version__, "checks": [asdict(check) for check in checks]}
        )
    return 0


def _shown(check: Check) -> Check:
    text, fix = without_private(check.text), without_private(check.fix)
    return Check(check.name, check.state, text, fix)
