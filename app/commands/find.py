"""``simmerdown find``: the sensors in reach."""

import argparse
import asyncio
import sys
from typing import Any

from app.commands import options
from app.gauge.search import Found, News, Trouble, bluetooth_finder, search
from app.output.stdout import print_json


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "find",
        help="list the gauges in reach",
        description="Lists serial ports, and Bluetooth devices as they appear, each with the "
        "address that opens it.",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object a line")
    parser.add_argument(
        "--for",
        dest="for_s",
        type=options.number(0.0, 1e7),
        metavar="SECONDS",
        help="search for this long (default: ports at once, Bluetooth 8 s), and tell what is "
        "plugged in or switched on meanwhile",
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """List what there is."""
    count = 0

    def tell(news: News) -> None:
        nonlocal count
        if isinstance(news, Trouble) and news.text:
            print(news.text, file=sys.stderr, flush=True)
        if not isinstance(news, Found):
            return
        count += 1
        if args.json:
            print_json({"address": news.address, "description": news.description})
        else:
            print(f"{news.address}  {news.description}".rstrip(), flush=True)

    asyncio.run(search(tell, args.for_s, bluetooth=bluetooth_finder()))
    if not count:
        print(
            "No gauge found. Plug the gauge in or switch it on, or type its address; "
            "sim:wet needs no gauge at all.",
            file=sys.stderr,
        )
    return 0
