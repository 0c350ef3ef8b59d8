"""``simmerdown demo``: the whole job on an invented circuit, in a minute and a half."""

import argparse
import sys
from typing import Any

from app.commands import options
from app.live import demo
from app.system.screen import has_screen


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "demo",
        help="play a whole evacuation on an invented circuit",
        description="A simulated wet circuit from pull-down through flat to the finding, in "
        "about 90 s, in the window where there is a screen. Workshop, vehicle, technician and "
        "readings are invented.",
    )
    parser.add_argument(
        "--speed",
        type=options.number(1.0, 1000.0),
        default=demo.SPEED,
        help="simulated seconds a second (default 74)",
    )
    parser.add_argument(
        "--terminal", action="store_true", help="play in the terminal, screen or not"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Play the demo."""
    if not args.terminal and has_screen():
        from app.window.technician import play

        return play(args.speed)
    if not args.terminal:
        print("There is no screen here: the demo plays in the terminal.", file=sys.stderr)
    from app.output.demo_terminal import play as play_in_terminal

    play_in_terminal(args.speed)
    return 0
