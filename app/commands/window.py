"""``simmerdown window``, and ``simmerdown`` alone: open the window."""

import argparse
import os
import sys
from typing import Any

from app.system.errors import UsageError

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


def has_screen() -> bool:
    """Tell whether a window can be opened here."""
    if sys.platform in ("win32", "darwin") or os.environ.get("QT_QPA_PLATFORM"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def run(_args: argparse.Namespace) -> int:
    """Open the window."""
    if not has_screen():
        raise UsageError(NO_SCREEN)
    from app.window.application import run_window

    return run_window()
