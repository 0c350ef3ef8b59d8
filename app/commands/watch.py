"""``simmerdown watch ADDRESS``: follow a gauge in the terminal, and record."""

import argparse
import sys
from pathlib import Path
from typing import Any

from app.commands import options
from app.gauge.link import AtPump, Ended, Failed
from app.job.backup_desk import backup_told
from app.live.opening import PROFILE, run_on, second_sensor_at, sensor_at
from app.live.run import Run, Step
from app.output.follow import follow
from app.output.stdout import print_json
from app.output.terminal import Terminal
from app.output.watch_json import as_json
from app.settings.file import load_settings
from app.system.errors import UsageError
from app.words.counted import counted
from app.words.phrases import english
from app.words.quality import quality_text
from app.words.sentences import Words
from sensors.events import Connected, Lost, Reading, Rejected


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "watch",
        help="follow a gauge in the terminal, and record",
        description="Reads a gauge until Ctrl-C, and records all of it into a job file.",
    )
    parser.add_argument(
        "address",
        metavar="ADDRESS",
        nargs="?",
        help="where the gauge is, e.g. serial:/dev/ttyUSB0?baud=9600&field=2&unit=micron; with "
        "--also the one at the far side of the circuit, which decides",
    )
    parser.add_argument(
        "--profile", metavar="NAME", help="the gauge kept under this name, instead of ADDRESS"
    )
    parser.add_argument(
        "--also",
        metavar="ADDRESS",
        help="a second gauge, at the pump: recorded and shown, while the first one, at the far "
        'side of the circuit, alone decides; its JSON lines have "at": "pump"',
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object a line")
    parser.add_argument(
        "--for",
        dest="for_s",
        type=options.number(0.0, 1e7),
        metavar="SECONDS",
        help="end by itself after this time",
    )
    parser.add_argument(
        "--job",
        type=Path,
        metavar="PATH",
        help="record into this job, going on with it if it is there (default: a new one)",
    )
    options.add_analysis_options(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Follow the gauge."""
    address = address_of(args)
    sensor, at_pump = sensor_at(address), None
    if args.also is not None:
        at_pump = second_sensor_at(args.also, address)
    following = run_on(args.job, options.rules(args), f"watch {address}")
    terminal = Terminal(Words())
    seen = _Seen(following, terminal, is_json=args.json)
    following.start(sensor)
    if at_pump is not None:
        following.start_at_pump(at_pump)
    lost = follow(following, terminal, seen.show, for_s=args.for_s, is_quiet=args.json)
    if following.snapshot is not None and not args.json:
        print(Words().verdict(following.snapshot))
        if told := quality_text(following.quality.report, "micron"):
            print(f"The gauge: {told}.")
    if seen.is_told:
        _tell_record(following)
    in_time = "" if args.for_s is None else f" in {args.for_s:g} s"
    if not seen.is_reached:
        raise UsageError(seen.why or f"{address} was not reached{in_time}.")
    if lost:
        raise UsageError(lost)
    if not seen.is_read:
        raise UsageError(f"{address} was reached, but gave no reading{in_time}{seen.bad}.")
    return 0


class _Seen:
    """Shows the steps of a run, and keeps what came of its far gauge."""

    def __init__(self, following: Run, terminal: Terminal, *, is_json: bool) -> None:
        self._following, self._terminal, self._is_json = following, terminal, is_json
        self.is_told = self.is_reached = self.is_read = False
        self.why = self.bad = ""  # why it was lost; what it sent last that was no reading

    def show(self, step: Step) -> bool:
        """Show one; give whether the run goes on."""
        event = step.event
        self.is_reached = self.is_reached or isinstance(event, Reading | Connected)
        self.is_read = self.is_read or isinstance(event, Reading)
        said = event.event if isinstance(event, AtPump) else event
        if not self.is_told and isinstance(said, Reading | Connected):
            self.is_told = True
            path = self._following.recorder.path
            print(f"Recording into {path}", file=sys.stderr, flush=True)
        if isinstance(event, Lost | Failed):
            self.why = event.why
        elif isinstance(event, Rejected):
            self.bad = f": {event.why}"
        if self._is_json:
            if (line := as_json(step)) is not None:
                print_json(line)
        elif self.is_reached or not isinstance(event, Failed):  # else it is told at the end
            self._terminal.show(step)
        return not isinstance(event, Ended | Failed)


def _tell_record(following: Run) -> None:
    """Say what became of the record, and what of the gauge did not get into it."""
    if not following.is_kept:
        print("Nothing was read: no job was kept.", file=sys.stderr)
    if following.rejected:
        print(counted(following.rejected, "frames no readings"), file=sys.stderr)
    if bad := following.pump_side.rejected:
        print(counted(bad, "frames no readings at pump"), file=sys.stderr)
    if following.is_kept and (folder := load_settings().backup_folder) is not None:
        print(backup_told(following.recorder.path, folder, english)[1], file=sys.stderr)


def address_of(args: argparse.Namespace) -> str:
    """Give the one address that was told.

    Raises
    ------
    UsageError
        If none was, or two.
    """
    if (args.address is None) == (args.profile is None):
        raise UsageError("expected one ADDRESS, or --profile NAME")
    return f"{PROFILE}{args.profile}" if args.address is None else str(args.address)
