"""The blank-off test: pump, hoses and gauge alone, before the circuit is opened to them.

Its micron say nothing by themselves, since the rig's volume is a few per cent of the circuit's:
a rise of 50 micron in it is hardly any gas. What counts is the gas load, rise rate x volume.
"""

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from analysis.closing.blank_off_doubt import (
    FEWEST,
    NO_VACUUM_PA,
    UNCLEAR,
    air_came_s,
    end_s,
    why_in_doubt,
    why_short,
)
from analysis.closing.isolation import fit_isolation, gas_load_pa_m3_s, share_of_rise
from analysis.hold.rules import MICRON_PA, HoldRules
from analysis.hold.trace import HoldThinner, ThinnedHold
from analysis.reason import Interval, Reason
from analysis.snapshot import BlankOff, LimitCheck

BlankOffOutcome = Literal["good", "over", "short", "unclear"]

_PRACTICE: Final = "common practice, no published source"
_REFIT_S: Final = 5.0
# What stays of a judgement when the volumes are told.
_STAYS: Final = ("blank-off-goes-on", *UNCLEAR, "blank-off-no-rise")


@dataclass(frozen=True, kw_only=True)
class BlankOffRules:
    """Limits of a blank-off test; all common practice without a source. SI.

    Attributes
    ----------
    lasts_s
        How long it takes.
    end_pa, end_source
        Highest pressure at its end.
    rise_pa, rise_source
        Highest rise within ``lasts_s``.
    load_share, load_source
        Largest gas load as a share of what the hold's limit allows the whole circuit.

    Raises
    ------
    ValueError
        If a limit is not positive.
    """

    lasts_s: float = 300.0
    end_pa: float = 100 * MICRON_PA
    end_source: str = _PRACTICE
    rise_pa: float = 50 * MICRON_PA
    rise_source: str = _PRACTICE
    load_share: float = 0.2
    load_source: str = _PRACTICE

    def __post_init__(self) -> None:
        for name in ("lasts_s", "end_pa", "rise_pa", "load_share"):
            if not 0.0 < getattr(self, name) < float("inf"):
                raise ValueError(f"{name} must be above zero, not {getattr(self, name)}")


def judge_blank_off(
    trace: ThinnedHold,
    from_s: float,
    until_s: float | None,
    rules: BlankOffRules,
    hold: HoldRules,
    *,
    rig_volume_m3: float | None,
    circuit_volume_m3: float | None,
) -> BlankOff:
    """Judge a blank-off test, running or over.

    Parameters
    ----------
    trace
        Its readings from the closing on.
    from_s, until_s
        When the rig was cut off, and until when; ``None`` while it runs.
    rules, hold
        Its limits, and the hold's, whose allowance the gas load is set against.
    rig_volume_m3, circuit_volume_m3
        Volumes, ``None`` when unknown: then no gas load, or no limit for it.
    """
    first = trace.time_s <= max(3.0, float(trace.time_s[0]))
    ultimate_pa = float(np.median(trace.pressure_pa[first]))
    within, shut_s = _counted(trace, rules)
    duration_s = trace.duration_s if shut_s is None else shut_s
    end_pa = float(np.median(within.pressure_pa[-FEWEST:]))
    rate = fit_isolation(within.time_s, within.pressure_pa, step_pa=trace.step_pa).rate_pa_s
    is_long = duration_s >= rules.lasts_s
    if ultimate_pa > NO_VACUUM_PA:
        why: Reason | None = Reason("blank-off-not-pulled", {"ultimate_pa": ultimate_pa})
    elif is_long:
        why = why_in_doubt(within, rate)
    else:
        why = why_short(trace, shut_s, duration_s, rules.lasts_s)
    test = BlankOff(
        from_s=from_s,
        until_s=until_s,
        ultimate_pa=ultimate_pa,
        end_pa=end_pa,
        rise_pa=end_pa - ultimate_pa,
        rate_pa_s=rate,
        load_pa_m3_s=None,
        is_long_enough=is_long,
        limits=(),
        reasons=(why,) if why else (),
    )
    return with_volumes(
        test, rules, hold, rig_volume_m3=rig_volume_m3, circuit_volume_m3=circuit_volume_m3
    )


def _counted(trace: ThinnedHold, rules: BlankOffRules) -> tuple[ThinnedHold, float | None]:
    """Give what counts of a test, and until when where air came in.

    A longer test rises more, and a valve opened before the mark lets air in: like for like.
    """
    within = trace.only(trace.time_s <= end_s(trace.time_s, rules.lasts_s))
    shut_s = air_came_s(within)
    if shut_s is not None:
        within = within.only(within.time_s <= shut_s)
    return within, shut_s


def with_volumes(
    test: BlankOff,
    rules: BlankOffRules,
    hold: HoldRules,
    *,
    rig_volume_m3: float | None,
    circuit_volume_m3: float | None,
) -> BlankOff:
    """Judge a blank-off test's gas load anew: the volumes are often told only later."""
    load = None
    if test.rate_pa_s is not None and rig_volume_m3 is not None:
        load = gas_load_pa_m3_s(test.rate_pa_s, rig_volume_m3)
    limits = _limits(rules, hold, test.end_pa, test.rise_pa, load, circuit_volume_m3)
    stays = tuple(reason for reason in test.reasons if reason.code in _STAYS)
    if any(reason.code == "blank-off-not-pulled" for reason in stays):
        return replace(test, load_pa_m3_s=load, limits=(), reasons=stays)
    reasons = stays + _outcome(rig_volume_m3, limits, is_plain=not stays)
    return replace(test, load_pa_m3_s=load, limits=limits, reasons=reasons)


def outcome(test: BlankOff) -> BlankOffOutcome:
    """Say in one word what a blank-off test showed.

    What proves nothing may still be over a limit: then it is over.
    """
    if any(not check.passed for check in test.limits):
        return "over"
    if any(reason.code in UNCLEAR for reason in test.reasons):
        return "unclear"
    return "good" if test.is_long_enough else "short"


def _limits(
    rules: BlankOffRules,
    hold: HoldRules,
    end_pa: float,
    rise_pa: float,
    load: Interval | None,
    circuit_volume_m3: float | None,
) -> tuple[LimitCheck, ...]:
    limits = [
        _check("blank-off-end", rules.end_pa, end_pa, rules.end_source),
        _check("blank-off-rise", rules.rise_pa, rise_pa, rules.rise_source),
    ]
    if load is not None and circuit_volume_m3 is not None:
        allowed = rules.load_share * hold.rise_pa / hold.rise_window_s * circuit_volume_m3
        limits.append(_check("blank-off-load", allowed, load.best, rules.load_source))
    return tuple(limits)


def _check(name: str, limit: float, value: float, source: str) -> LimitCheck:
    return LimitCheck(name, limit, value, value <= limit, source)


def _outcome(
    rig_volume_m3: float | None, limits: tuple[LimitCheck, ...], *, is_plain: bool
) -> tuple[Reason, ...]:
    failed = [check for check in limits if not check.passed]
    has_little_gas = any(check.name == "blank-off-load" and check.passed for check in limits)
    reasons = []
    for check in failed:
        is_little = check.name == "blank-off-rise" and has_little_gas
        code = f"{check.name}-over-little" if is_little else f"{check.name}-over"
        reasons.append(Reason(code, _numbers(check)))
    if is_plain and not failed:
        reasons.append(Reason("blank-off-good"))
    if rig_volume_m3 is None:
        reasons.append(Reason("blank-off-no-volume"))
    return tuple(reasons)


def _numbers(check: LimitCheck) -> dict[str, float]:
    unit = "pa_m3_s" if check.name == "blank-off-load" else "pa"
    return {f"value_{unit}": check.value, f"limit_{unit}": check.limit}


class BlankOffWatch:
    """A blank-off test as it goes on, in bounded memory.

    Parameters
    ----------
    rules, hold, rig_volume_m3, circuit_volume_m3
        As in :func:`judge_blank_off`.
    """

    def __init__(
        self,
        rules: BlankOffRules,
        hold: HoldRules,
        *,
        rig_volume_m3: float | None,
        circuit_volume_m3: float | None,
    ) -> None:
        self._rules, self._hold = rules, hold
        self._rig_m3, self._circuit_m3 = rig_volume_m3, circuit_volume_m3
        self._thinner: HoldThinner | None = None
        self._from_s = 0.0
        self._judged_s = -np.inf
        self.result: BlankOff | None = None

    def judge_by(self, hold: HoldRules) -> None:
        """Set the gas load beside other limits of a hold."""
        self._hold = hold

    @property
    def is_running(self) -> bool:
        """Whether the rig is cut off now."""
        return self._thinner is not None

    def start(self, time_s: float) -> None:
        """Begin: pump, hoses and gauge were cut off at ``time_s``."""
        if self._thinner is None:
            self._thinner, self._from_s, self.result = HoldThinner(), time_s, None
            self._judged_s = -np.inf

    def sample(self, time_s: float, pressure_pa: float, temperature_c: float | None) -> None:
        """Take a reading."""
        if self._thinner is not None:
            self._thinner.add(time_s, pressure_pa, temperature_c)

    def tick(self, time_s: float) -> None:
        """Bring the result up to date, every few seconds."""
        if self._thinner is not None and time_s - self._judged_s >= _REFIT_S:
            self._judge(time_s, None)

    def end(self, time_s: float) -> None:
        """End: the result stands as it is."""
        self._judge(time_s, time_s)
        self._thinner = None

    def _judge(self, time_s: float, until_s: float | None) -> None:
        trace = None if self._thinner is None else self._thinner.thinned()
        if trace is None or trace.count.sum() < FEWEST:
            return
        self._judged_s = time_s
        self.result = judge_blank_off(
            trace,
            self._from_s,
            until_s,
            self._rules,
            self._hold,
            rig_volume_m3=self._rig_m3,
            circuit_volume_m3=self._circuit_m3,
        )


def rig_share(
    load_pa_m3_s: Interval, later_pa_s: Interval, circuit_volume_m3: float, rig_volume_m3: float
) -> Reason:
    """Say how much of a later rise is the rig's own gas.

    Returns
    -------
    Reason
        ``rig-share`` with the share, 0 to 1; ``rig-explains-all`` where nothing is left;
        ``no-rise-to-share`` where there was none.
    """
    if later_pa_s.best <= 0.0:
        return Reason("no-rise-to-share")
    share = share_of_rise(load_pa_m3_s.best, later_pa_s.best, circuit_volume_m3 + rig_volume_m3)
    return Reason("rig-explains-all" if share >= 1.0 else "rig-share", {"share": share})
