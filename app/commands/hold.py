"""``simmerdown hold FILE``: the standing test's finding, from a file."""

import argparse
from pathlib import Path
from typing import Any, get_args

import numpy as np

from analysis.hold.finding import analyse_hold
from analysis.hold.length import CircuitKind, hold_end, rushed_in
from analysis.snapshot import HoldResult
from app.commands import options
from app.hold.leak_words import loss_lines
from app.job.fields import JobFields, job_fields
from app.job.recording import Recording
from app.job.refrigerants import fluid_of
from app.job.rules import JobRules, kept_rules
from app.output.export_read import load_told
from app.output.hold_json import HeldCircuit, as_json
from app.output.stdout import print_json
from app.settings.file import load_settings
from app.settings.job_rules import job_rules
from app.system.errors import UsageError
from app.words import display
from app.words.sentences import Words
from app.words.terms import limit_names, limit_phrases

_ENDS = ("valve-opened", "hold-over", "nitrogen-in")


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "hold",
        help="tell a leak from vapour in a recorded standing test",
        description="Reads a CSV file or a job. Unless --closed-s says otherwise, the isolating "
        "valve was closed at the first reading (of a job: at the last valve-closed mark).",
    )
    parser.add_argument("file", type=Path, metavar="FILE")
    options.add_record_option(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument(
        "--closed-s",
        type=options.number(0.0, 1e9),
        metavar="SECONDS",
        help="when the valve was closed, in seconds since the first reading: also of an earlier "
        "hold, or where it was marked late; a job's next mark of an end ends it",
    )
    parser.add_argument(
        "--circuit",
        choices=get_args(CircuitKind),
        help="how long a hold lasts at least: clean 10 min, normal 20, long (rear unit, heat pump, "
        "open for long) 30, disputed 60 (common practice), unless the settings say otherwise; "
        "default: as the job says, else normal",
    )
    options.add_circuit_options(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Analyse the hold and tell the finding."""
    recording = load_told(args.file, args.record)
    series = recording.series
    from_s, until_s = _span(recording, args.closed_s)
    is_held = (series.time_s >= from_s) & (series.time_s <= until_s)
    is_beyond = np.zeros(len(is_held), dtype=bool)
    if series.status is not None:
        is_beyond = np.array([status == "over-range" for status in series.status])
        is_held &= np.array([status != "under-range" for status in series.status])
    if np.count_nonzero(is_held & ~is_beyond) < 2:
        raise UsageError(
            f"{args.file} has fewer than two readings after {from_s:g} s, when the valve was "
            f"closed; its last one is at {series.time_s[-1]:g} s."
        )
    temperature_c = None if series.temperature_c is None else series.temperature_c[is_held]
    told = kept_rules(recording.fields) or job_rules(load_settings())
    circuit = _circuit(args, job_fields(recording.fields), told)
    result = analyse_hold(
        series.time_s[is_held],
        series.pressure_pa[is_held],
        temperature_c=temperature_c,
        is_beyond=is_beyond[is_held],
        rules=told.rules.hold,
    )
    if args.json:
        print_json(as_json(result, circuit))
    else:
        _tell(result, Words(), circuit)
    return 0


def _circuit(args: argparse.Namespace, fields: JobFields, told: JobRules) -> HeldCircuit:
    """Give what is known of the circuit: what was told here, else by the job."""
    volume = options.volume_m3(args)
    kind = args.circuit or fields.kind_or_normal
    return HeldCircuit(
        fields.volume_m3 if volume is None else volume,
        fluid_of(args.refrigerant or fields.refrigerant),
        kind,
        told.least_holds[kind],
    )


def _span(recording: Recording, closed_s: float | None) -> tuple[float, float]:
    """Give from when to when the circuit was cut off: as told, else since the last closing.

    It ends at the first mark of an end after it, also where another hold came later.
    """
    end_s = float(recording.series.time_s[-1])
    if closed_s is None:
        closings = [mark.time_s for mark in recording.marks if mark.kind == "valve-closed"]
        if not closings:
            return 0.0, end_s
        closed_s = closings[-1]
    ends = [mark.time_s for mark in recording.marks if mark.kind in _ENDS]
    return closed_s, min((at_s for at_s in ends if at_s > closed_s), default=end_s)


def _tell(result: HoldResult, words: Words, circuit: HeldCircuit) -> None:
    rush = rushed_in(result)
    if rush is not None:  # the finding is of what came before: nobody should read that alone
        print(words.reason(rush))
    print(words.finding(result))
    limits, names = limit_phrases(words.translate), limit_names(words.translate)
    time, moved = display.duration(result.duration_s), words.moved(result)
    print(limits["closed-for"].format(time=time, moved=moved))
    leak, volume_m3 = result.leak_pa_s, circuit.volume_m3
    if leak is not None:
        rates = [display.rate(rate) for rate in (leak.best, leak.low, leak.high)]
        print(f"Leak: {rates[0]} ({rates[1]} to {rates[2]})")
        if volume_m3 is not None:
            print(f"      {leak.best * volume_m3:.3g} Pa m3/s into {volume_m3 * 1e3:g} L")
    for line in loss_lines(result, volume_m3, circuit.refrigerant, words):
        print(line)
    for check in result.limits:
        print(
            limits["told"].format(
                name=names[check.name],
                value=words.pressure(max(check.value, 0.0)),
                limit=words.pressure(check.limit),
                outcome=limits["met" if check.passed else "not-met"],
                source=check.source,
            )
        )
    for why in result.reasons:
        if why != rush:
            print(words.reason(why))
    end = hold_end(result, circuit.least).reason
    source = f" ({circuit.least.source})" if "least_s" in end.values else ""
    print(words.reason(end) + source)
