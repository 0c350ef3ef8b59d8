"""``simmerdown analyse FILE``: what a live run would have shown, from a file."""

import argparse
from pathlib import Path
from typing import Any

from analysis.evacuation import Evacuation
from analysis.snapshot import Snapshot
from app.commands import options
from app.output.analysis_json import Analysis, analyse, as_json
from app.output.export_read import load_told
from app.output.stdout import print_json
from app.rig.rig_tests import (
    blank_off_lines,
    isolation_lines,
    pressure_test_lines,
    pressure_test_of,
    pull_lines,
)
from app.words import display
from app.words.sentences import Words


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "analyse",
        help="find bursts, stages, cautions and the time of flat in a file",
        description="Reads a CSV file or a job from beginning to end, as a live run would.",
    )
    parser.add_argument("file", type=Path, metavar="FILE")
    options.add_record_option(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    options.add_analysis_options(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Analyse the file and tell the outcome."""
    recording = load_told(args.file, args.record)
    told = options.rules(args, recording.fields)
    outcome = analyse(recording.items(), Evacuation(rules=told.rules, history=told.history))
    if args.json:
        print_json(as_json(outcome, pressure_test_of(recording.fields)))
    else:
        words = Words()
        test = pressure_test_of(recording.fields)
        for line in [] if test is None else pressure_test_lines(test, words):
            print(f"Pressure test: {line}")
        _tell(outcome, words)
    return 0


def _tell(outcome: Analysis, words: Words) -> None:
    samples = words.counted(outcome.samples, "readings")
    print(f"{samples} over {display.duration(outcome.duration_s)}")
    for from_s, to_s in outcome.gaps:
        print(f"{display.clock(from_s)}  gap of {display.duration(to_s - from_s)} in the readings")
    print(words.counted(len(outcome.bursts), "bursts") + _span(outcome))
    for caution in outcome.cautions:
        until = "" if caution.until_s is None else f" to {display.clock(caution.until_s)}"
        told = f"{words.caution_name(caution.kind)}: {words.caution(caution)}"
        print(f"{display.clock(caution.from_s)}{until}  {told}")
    if outcome.last is None:
        return
    if outcome.last.flat_reached_s is not None:
        print(f"{display.clock(outcome.last.flat_reached_s)}  flat reached")
    for line in (*_rig_lines(outcome.last, words), *words.pumping(outcome.last.pumping)):
        print(line)
    print(words.verdict(outcome.last))


def _rig_lines(last: Snapshot, words: Words) -> list[str]:
    """Give blank-off, isolations and pulls, each only where there was one."""
    lines = []
    if last.blank_off is not None:
        lines += [f"Blank-off: {line}" for line in blank_off_lines(last.blank_off, words)]
    for each in last.isolations:
        lines.append(f"{display.clock(each.from_s)}  {' '.join(isolation_lines(each, words))}")
    return lines + pull_lines(last.pulls, words)


def _span(outcome: Analysis) -> str:
    if not outcome.bursts:
        return ""
    first, last = outcome.bursts[0], outcome.bursts[-1]
    if len(outcome.bursts) == 1:
        return f" at {display.clock(first.onset_s)}, {display.pressure(first.rise_pa)}"
    sizes = f"{display.pressure(first.rise_pa)} at first, {display.pressure(last.rise_pa)} at last"
    return f" from {display.clock(first.onset_s)} to {display.clock(last.onset_s)}, {sizes}"
