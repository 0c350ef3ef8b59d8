"""``simmerdown hold FILE``: the standing test's finding, from a file."""

import argparse
from pathlib import Path
from typing import Any, get_args

import numpy as np

from analysis.hold import analyse_hold
from analysis.hold_length import CircuitKind, hold_end
from analysis.snapshot import HoldResult
from app import display, options
from app.errors import UsageError
from app.hold_json import as_json
from app.output import print_json
from app.recording import Recording, load
from app.words import Words


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "hold",
        help="tell a leak from vapour in a recorded standing test",
        description="Reads a CSV file or a job. Unless --closed-s says otherwise, the isolating "
        "valve was closed at the first reading (of a job: at the last valve-closed mark).",
    )
    parser.add_argument("file", type=Path, metavar="FILE")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument(
        "--closed-s",
        type=options.number(0.0, 1e9),
        metavar="SECONDS",
        help="when the valve was closed, in seconds since the first reading",
    )
    parser.add_argument(
        "--circuit",
        choices=get_args(CircuitKind),
        default="normal",
        help="how long a hold lasts at least: clean 10 min, normal 20, long (rear unit, heat pump, "
        "open for long) 30, disputed 60, unless the settings say otherwise",
    )
    options.add_circuit_options(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Analyse the hold and tell the finding."""
    recording = load(args.file)
    series = recording.series
    from_s, until_s = _span(recording, args.closed_s)
    is_held = (series.time_s >= from_s) & (series.time_s <= until_s)
    if series.status is not None:
        is_held &= np.array([status == "ok" for status in series.status])
    if np.count_nonzero(is_held) < 2:
        raise UsageError(
            f"{args.file} has fewer than two readings after {from_s:g} s, when the valve was "
            f"closed; its last one is at {series.time_s[-1]:g} s."
        )
    temperature_c = None if series.temperature_c is None else series.temperature_c[is_held]
    result = analyse_hold(
        series.time_s[is_held],
        series.pressure_pa[is_held],
        temperature_c=temperature_c,
        rules=options.hold_rules(options.settings()),
    )
    if args.json:
        print_json(as_json(result, options.volume_m3(args)))
    else:
        words = Words()
        _tell(result, words, options.volume_m3(args))
        least = options.least_hold(options.settings(), args.circuit)
        print(f"{words.reason(hold_end(result, least).reason)} ({least.source})")
    return 0


def _span(recording: Recording, closed_s: float | None) -> tuple[float, float]:
    """Give from when to when the circuit was cut off."""
    end_s = float(recording.series.time_s[-1])
    if closed_s is not None:
        return closed_s, end_s
    closings = [mark.time_s for mark in recording.marks if mark.kind == "valve-closed"]
    if not closings:
        return 0.0, end_s
    ends = [
        mark.time_s
        for mark in recording.marks
        if mark.kind in ("valve-opened", "hold-over", "nitrogen-in") and mark.time_s > closings[-1]
    ]
    return closings[-1], min(ends, default=end_s)


def _tell(result: HoldResult, words: Words, volume_m3: float | None) -> None:
    print(words.finding(result))
    print(
        f"Held for {display.duration(result.duration_s)}, risen {display.pressure(result.rise_pa)}"
    )
    leak = result.leak_pa_s
    if leak is not None:
        rates = [display.rate(rate) for rate in (leak.best, leak.low, leak.high)]
        print(f"Leak: {rates[0]} ({rates[1]} to {rates[2]})")
        if volume_m3 is not None:
            print(f"      {leak.best * volume_m3:.3g} Pa m3/s into {volume_m3 * 1e3:g} L")
    for check in result.limits:
        outcome = "within" if check.passed else "OVER"
        print(f"{outcome} limit {check.name} ({check.source})")
    for why in result.reasons:
        print(words.reason(why))
