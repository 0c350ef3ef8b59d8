"""Options that several commands share, and what those of the analysis tell it."""

import argparse
import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from analysis.hold.leak import REFRIGERANTS
from app.job.fields import job_fields
from app.job.rules import JobRules, kept_rules
from app.settings.file import load_settings
from app.settings.job_rules import job_rules

LITRE_M3 = 1e-3


def number(low: float, high: float) -> Callable[[str], float]:
    """Give a reader of a number between two bounds, for ``add_argument(type=...)``."""

    def read(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            expected = f"a number from {low:g} to {high:g}"
            raise argparse.ArgumentTypeError(f"'{text}' was given where {expected} was expected")
        return value

    return read


def add_analysis_options(parser: argparse.ArgumentParser) -> None:
    """Add the options that tell the analysis about the circuit."""
    parser.add_argument(
        "--flat-min",
        type=number(0.5, 120.0),
        metavar="MINUTES",
        help="flat is when bursts are rarer than one in this time (default 10)",
    )
    parser.add_argument(
        "--circuit-c",
        type=number(-60.0, 120.0),
        metavar="CELSIUS",
        help="temperature of the circuit's coldest part, where the gauge tells none (default 20)",
    )
    parser.add_argument(
        "--days-open",
        type=number(0.0, 3650.0),
        metavar="DAYS",
        help="days that lines stood open: what the forecast starts from (default: not known)",
    )
    add_circuit_options(parser)


def add_circuit_options(parser: argparse.ArgumentParser) -> None:
    """Add what turns a rate of rise into a leak."""
    parser.add_argument(
        "--volume-l", type=number(0.01, 1000.0), metavar="LITRES", help="volume of the circuit"
    )
    parser.add_argument(
        "--refrigerant", choices=tuple(REFRIGERANTS), help="what the circuit will be charged with"
    )


def add_record_option(parser: argparse.ArgumentParser) -> None:
    """Add the file that tells what was done beside a CSV file's readings."""
    parser.add_argument(
        "--record",
        type=Path,
        metavar="FILE.json",
        help="marks and settings of a CSV file that simmerdown export wrote",
    )


def volume_m3(args: argparse.Namespace) -> float | None:
    """Give the circuit's volume, if it was told."""
    return None if args.volume_l is None else args.volume_l * LITRE_M3


def rules(args: argparse.Namespace, job: Mapping[str, object] | None = None) -> JobRules:
    """Give what the analysis is told: here, else as the job keeps it, else by the user's settings.

    Parameters
    ----------
    job
        The fields of the job, where the file is one.

    Raises
    ------
    UsageError
        If the settings file can't be used.
    """
    told, fields = kept_rules(job or {}) or job_rules(load_settings()), job_fields(job or {})
    known = told.rules
    volume = volume_m3(args) or fields.volume_m3
    changed = replace(
        known,
        volume_m3=known.volume_m3 if volume is None else volume,
        rig_volume_m3=fields.rig_volume_m3 or known.rig_volume_m3,
        flat_interval_s=known.flat_interval_s if args.flat_min is None else 60.0 * args.flat_min,
        circuit_c=known.circuit_c if args.circuit_c is None else args.circuit_c,
    )
    past = told.history
    if args.days_open is not None:
        past = replace(past, days_open=args.days_open)
    return replace(told, rules=changed, history=past)
