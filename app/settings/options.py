"""Options of the analysis, shared by the commands that run it."""

import argparse
import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from analysis.closing.blank_off import BlankOffRules
from analysis.flat.history import History
from analysis.hold.leak import REFRIGERANTS
from analysis.hold.length import CircuitKind, LeastHold
from analysis.hold.rules import HoldRules
from analysis.pump.rig import Rig
from analysis.rules import EvacuationRules
from app.job.fields import job_fields
from app.job.rules import JobRules, kept_rules
from app.settings.file import SettingsFileError, load_settings
from app.settings.values import Settings
from app.system.errors import UsageError

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
    told, fields = kept_rules(job or {}) or job_rules(settings()), job_fields(job or {})
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


def settings() -> Settings:
    """Load the user's settings.

    Raises
    ------
    UsageError
        If the settings file can't be used: the file, the line and what was expected.
    """
    try:
        return load_settings()
    except SettingsFileError as error:
        raise UsageError(str(error)) from error


def rules_from(told: Settings) -> EvacuationRules:
    """Turn the user's settings into those of the analysis."""
    return EvacuationRules(
        flat_interval_s=60.0 * told.flat_min,
        circuit_c=told.circuit_c_or_default,
        water_gauge_factor=told.water_gauge_factor,
        flat_below_pa=told.before_hold.pressure_pa,
        rig_volume_m3=None if told.rig_volume_ml is None else 1e-6 * told.rig_volume_ml,
        hold=hold_rules(told),
        blank_off=blank_off_rules(told),
    )


def job_rules(
    told: Settings,
    volume: float | None = None,
    history: History | None = None,
    rig: Rig | None = None,
) -> JobRules:
    """Give all that the analysis of a job is told.

    Parameters
    ----------
    told
        The user's settings.
    volume
        Of the circuit, m3.
    history
        The circuit's past.
    rig
        Pump and hose.
    """
    rules = replace(rules_from(told), volume_m3=volume)
    if rig is not None:
        rules = replace(
            rules,
            pump_speed_m3_s=rig.pump_speed_m3_s,
            hose_bore_m=rig.hose.bore_m,
            hose_length_m=rig.hose.length_m,
        )
    return JobRules(rules, history or History(), least_holds(told))


def least_holds(told: Settings) -> dict[CircuitKind, LeastHold]:
    """Give how long each kind of circuit is held at least, with the source of the figure."""
    minutes: dict[CircuitKind, float] = {
        "clean": told.hold_clean_min,
        "normal": told.hold_normal_min,
        "long": told.hold_long_min,
        "disputed": told.hold_disputed_min,
    }
    return {
        kind: LeastHold(60.0 * length, told.hold_length_source) for kind, length in minutes.items()
    }


def blank_off_rules(told: Settings) -> BlankOffRules:
    """Turn the user's limits for a blank-off test into those of the analysis."""
    return BlankOffRules(
        lasts_s=60.0 * told.blank_off_min,
        end_pa=told.blank_off_end.pressure_pa,
        end_source=told.blank_off_end.source,
        rise_pa=told.blank_off_rise.pressure_pa,
        rise_source=told.blank_off_rise.source,
        load_share=told.blank_off_load_pct / 100.0,
        load_source=told.blank_off_load_source,
    )


def hold_rules(told: Settings) -> HoldRules:
    """Turn the user's limits for a standing test into those of the analysis."""
    return HoldRules(
        start_pa=told.before_hold.pressure_pa,
        start_source=told.before_hold.source,
        rise_pa=told.hold_rise.pressure_pa,
        rise_source=told.hold_rise.source,
        rise_window_s=60.0 * told.hold_rise_min,
        highest_pa=told.hold_highest.pressure_pa,
        highest_source=told.hold_highest.source,
        charge_pa=told.do_not_charge.pressure_pa,
        charge_source=told.do_not_charge.source,
    )
