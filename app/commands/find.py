"""``simmerdown find``: the sensors in reach."""

import argparse
import sys
from typing import Any

from app.output import print_json
from sensors.catalogue import find_ports


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "find",
        help="list the sensors in reach",
        description="Lists this computer's serial ports, each with the address that opens it.",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object a line")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """List what there is."""
    ports = find_ports()
    for port in ports:
        if args.json:
            print_json({"address": port.address, "description": port.description})
        else:
            print(f"{port.address}  {port.description}".rstrip())
    if not ports:
        print(
            "No serial port found. Plug the gauge in, or type its address; "
            "sim:wet needs no gauge at all.",
            file=sys.stderr,
        )
    return 0
