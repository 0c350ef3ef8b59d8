"""``simmerdown window``, and ``simmerdown`` alone: open the window."""

import argparse
from typing import Any

from app.system.errors import UsageError
from app.system.screen import has_screen

NO_SCREEN = (
    "There is no screen to open a window on here; `simmerdown watch ADDRESS` works in the terminal."
)


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "window",
        help="open the window (the default)",
        description="Opens the window, where a gauge is chosen and the job is followed.",
    )
    parser.set_defaults(run=run, tells_faults=True)


def run(_args: argparse.Namespace) -> int:
    """Open the window."""
    if not has_screen():
        raise UsageError(NO_SCREEN)
    from app.window.application import run_window

    return run_window()
