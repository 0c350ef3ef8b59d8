"""The tests before and during a job that are no evacuation: kept with the job, told in words.

A blank-off test and a pressure test are kept as the job's fields ``blank_off`` and
``pressure_test`` (rows of kind ``edit``): corrections are new rows, and the last one holds.
"""

from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields
from typing import Any, TypeVar, get_args

from analysis.closing.blank_off import rig_share, with_volumes
from analysis.closing.cut_off import CutOff
from analysis.nitrogen.pressure_test import PressureFinding, PressureTest, TestPoint
from analysis.pump.pulls import Pull, compare_pulls
from analysis.reason import Interval, Reason
from analysis.rules import EvacuationRules
from analysis.snapshot import BlankOff, HoldResult, Isolation, LimitCheck, Snapshot
from app.job.fields import JobFields
from app.job.result_parts import (
    interval,
    interval_or_none,
    limit,
    number,
    number_or_none,
    text,
    truth,
)
from app.jobfile.jsontext import plain
from app.jobfile.rows import Edit
from app.words.sentences import Words

_Form = TypeVar("_Form", BlankOff, PressureTest)

BLANK_OFF = "blank_off"
PRESSURE_TEST = "pressure_test"


def blank_off_note(before: Snapshot | None, after: Snapshot) -> Edit | None:
    """Give the row that keeps a blank-off test, when one has just ended."""
    ended = after.blank_off
    if ended is None or ended.until_s is None:
        return None
    known = None if before is None else before.blank_off
    return None if ended == known else Edit(BLANK_OFF, plain(ended))


def pressure_test_note(test: PressureTest) -> Edit:
    """Give the row that keeps a pressure test; what was not read half way is left out."""
    kept = {part.name: getattr(test, part.name) for part in fields(test)}
    if test.middle_pa is None:  # as before there was such a reading: older programs read it
        del kept["middle_pa"]
    return Edit(PRESSURE_TEST, plain(kept))


def blank_off_of(values: Mapping[str, object]) -> BlankOff | None:
    """Read a job's blank-off test back; ``None`` without one, or where a stranger's is odd."""
    return _read(BlankOff, values.get(BLANK_OFF))


def pressure_test_of(values: Mapping[str, object]) -> PressureTest | None:
    """Read a job's pressure test back; ``None`` without one, or where a stranger's is odd."""
    return _read(PressureTest, values.get(PRESSURE_TEST))


def blank_off_lines(test: BlankOff, words: Words) -> list[str]:
    """Say what a blank-off test showed, or shows so far."""
    numbers = {"ultimate_pa": test.ultimate_pa, "end_pa": test.end_pa, "rise_pa": test.rise_pa}
    lines = [words.reason(Reason("blank-off-shows", numbers))]
    if test.load_pa_m3_s is not None:
        load = {"load_pa_m3_s": test.load_pa_m3_s.best}
        limits = [check.limit for check in test.limits if check.name == "blank-off-load"]
        if limits:
            load["limit_pa_m3_s"] = limits[0]
        code = "blank-off-load-counts" if limits else "blank-off-load"
        lines.append(words.reason(Reason(code, load)))
    return lines + [words.reason(reason) for reason in test.reasons]


def offer_line(offered: CutOff, now_s: float, words: Words) -> str:
    """Say that the trace shows a closing which nobody marked."""
    values = {"ago_s": now_s - offered.from_s, "rise_pa": offered.rise_pa}
    return words.reason(Reason(f"cut-off-{offered.kind}", values))


def isolation_lines(isolation: Isolation, words: Words) -> list[str]:
    """Say how an isolation rose, and how that compares with the one before."""
    numbers = {"rise_pa": isolation.rise_pa, "rate_pa_s": isolation.rate_pa_s}
    code = "isolation-rose" if isolation.rate_pa_s > 0.0 else "isolation-stood"
    code = code if isolation.rise_pa > 0.0 else "isolation-still"
    lines = [words.reason(Reason(code, numbers))]
    if isolation.comparison is not None:
        lines.append(words.reason(isolation.comparison))
    return lines


def pull_lines(pulls: Sequence[Pull], words: Words) -> list[str]:
    """Say how the present pull compares with the one before; nothing of a first one."""
    if len(pulls) < 2:
        return []
    return [words.reason(reason) for reason in compare_pulls(pulls[-2], pulls[-1])]


def pressure_test_lines(test: PressureTest, words: Words) -> list[str]:
    """Say what a pressure test showed."""
    return [words.reason(reason) for reason in test.reasons]


def pressure_test_cautions(words: Words) -> list[str]:
    """Give what is said before nitrogen is let in, always in full."""
    codes = ("regulator", "inert", "rated", "gauge", "slowly", "settle", "codes")
    return [words.reason(Reason(f"pressure-test-{code}")) for code in codes]


def blank_off_now(
    test: BlankOff | None, fields: JobFields, rules: EvacuationRules
) -> BlankOff | None:
    """Give a blank-off test under the volumes that the job, or else its rules, tell by now."""
    if test is None:
        return None
    return with_volumes(
        test,
        rules.blank_off,
        rules.hold,
        rig_volume_m3=rig_volume_m3(fields, rules),
        circuit_volume_m3=fields.volume_m3,
    )


def rig_volume_m3(fields: JobFields, rules: EvacuationRules) -> float | None:
    """Give the volume of hoses and gauge: the job's, else the usual one."""
    return fields.rig_volume_m3 or rules.rig_volume_m3


def rate_of(hold: HoldResult) -> Interval:
    """Give at what rate the pressure rose in a hold: that of the leak, or else the mean."""
    mean_pa_s = hold.rise_pa / max(hold.duration_s, 1.0)
    return hold.leak_pa_s or Interval(mean_pa_s, mean_pa_s, mean_pa_s)


def share_of_rig(
    test: BlankOff | None, rate_pa_s: Interval | None, fields: JobFields, rules: EvacuationRules
) -> Reason | None:
    """Say how much of a later rise is the rig's own; ``None`` where it cannot be told."""
    now, rig_m3 = blank_off_now(test, fields, rules), rig_volume_m3(fields, rules)
    if now is None or now.load_pa_m3_s is None or rate_pa_s is None:
        return None
    if fields.volume_m3 is None or rig_m3 is None:
        return None
    return rig_share(now.load_pa_m3_s, rate_pa_s, fields.volume_m3, rig_m3)


def _read(form: type[_Form], value: object) -> _Form | None:
    """Build one of our results from its JSON value, each part checked."""
    names = {part.name for part in fields(form)}
    needed = {part.name for part in fields(form) if part.default is MISSING}
    if not isinstance(value, Mapping) or not needed <= value.keys() <= names:
        return None
    try:
        return form(**{name: _READERS[name](value[name]) for name in value})
    except (KeyError, TypeError, ValueError):
        return None


def _finding(value: object) -> PressureFinding:
    if value not in get_args(PressureFinding):
        raise ValueError("no finding")
    return value  # type: ignore[return-value]  # looked up just now


def _point(value: object) -> TestPoint:
    if not isinstance(value, Mapping):
        raise ValueError("no reading")
    return TestPoint(number(value["pressure_pa"]), number(value["temperature_c"]))


def _limits(value: object) -> tuple[LimitCheck, ...]:
    if not isinstance(value, list):
        raise ValueError("no list")
    return tuple(map(limit, value))


def _reasons(value: object) -> tuple[Reason, ...]:
    if not isinstance(value, list):
        raise ValueError("no list")
    return tuple(
        Reason(text(item["code"]), {text(k): number(v) for k, v in item["values"].items()})
        for item in value
        if isinstance(item["values"], Mapping)
    )


_READERS: Mapping[str, Any] = {
    "from_s": number,
    "until_s": number_or_none,
    "ultimate_pa": number,
    "end_pa": number,
    "rise_pa": number,
    "rate_pa_s": interval_or_none,
    "load_pa_m3_s": interval_or_none,
    "is_long_enough": truth,
    "limits": _limits,
    "reasons": _reasons,
    "start": _point,
    "end": _point,
    "middle_pa": number_or_none,
    "duration_s": number,
    "expected_pa": number,
    "fall_pa": interval,
    "smallest_fall_seen_pa": number,
    "finding": _finding,
}
