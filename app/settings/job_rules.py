"""From the user's settings to what the analysis of a job is told."""

from dataclasses import replace

from analysis.closing.blank_off import BlankOffRules
from analysis.flat.history import History
from analysis.hold.length import CircuitKind, LeastHold
from analysis.hold.rules import HoldRules
from analysis.pump.rig import Rig
from analysis.rules import EvacuationRules
from app.job.rules import JobRules
from app.settings.values import Settings


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
    rules = replace(_rules(told), volume_m3=volume)
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


def _rules(told: Settings) -> EvacuationRules:
    """Turn the user's settings into those of the analysis."""
    return EvacuationRules(
        flat_interval_s=60.0 * told.flat_min,
        circuit_c=told.circuit_c_or_default,
        water_gauge_factor=told.water_gauge_factor,
        flat_below_pa=told.before_hold.pressure_pa,
        rig_volume_m3=None if told.rig_volume_ml is None else 1e-6 * told.rig_volume_ml,
        hold=_hold_rules(told),
        blank_off=_blank_off_rules(told),
    )


def _blank_off_rules(told: Settings) -> BlankOffRules:
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


def _hold_rules(told: Settings) -> HoldRules:
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
