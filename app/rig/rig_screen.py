"""Blank-off and pressure test in the window: typed figures in, sentences out."""

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

from analysis.nitrogen.pressure_test import PressureTest, TestPoint, judge_pressure_test
from analysis.reason import Reason
from analysis.rules import EvacuationRules
from analysis.snapshot import Snapshot
from app.job.fields import JobFields
from app.rig.cost import rig_cost_lines
from app.rig.rig_tests import pressure_test_lines, rate_of, share_of_rig
from app.screen.shown import Passage, Screen
from app.words.sentences import Words
from sensors.events import Reading

BAR_PA = 1e5
AIR_PA = 101_325.0  # ISO 2533 standard atmosphere: a dial shows what is over it
MINUTE_S = 60.0
TYPED = ("start_bar", "start_c", "end_bar", "end_c", "minutes")


def judge_typed(typed: Mapping[str, float]) -> PressureTest:
    """Judge a pressure test by what a dial shows, bar over the air outside.

    Parameters
    ----------
    typed
        All of :data:`TYPED`; where they are known ``middle_bar``, half way, ``rated_bar``, and
        ``step_bar``, how finely the dial is read.

    Raises
    ------
    ValueError
        If a number makes no sense; the text names it.
    """
    rated_bar, middle_bar = typed.get("rated_bar"), typed.get("middle_bar")
    return judge_pressure_test(
        TestPoint(typed["start_bar"] * BAR_PA + AIR_PA, typed["start_c"]),
        TestPoint(typed["end_bar"] * BAR_PA + AIR_PA, typed["end_c"]),
        typed["minutes"] * MINUTE_S,
        middle_pa=None if middle_bar is None else middle_bar * BAR_PA + AIR_PA,
        step_pa=typed.get("step_bar", 0.0) * BAR_PA,
        rated_pa=None if rated_bar is None else rated_bar * BAR_PA + AIR_PA,
    )


class Dial(NamedTuple):
    """What a dial would show where a second gauge reads the nitrogen."""

    time_s: float
    over_air_bar: float
    celsius: float | None


def dial_of(nitrogen: Reading | None, snapshot: Snapshot | None) -> Dial | None:
    """Give a second gauge's reading as a dial shows it, and the warmth that either gauge tells."""
    if nitrogen is None or nitrogen.status != "ok":
        return None
    celsius = nitrogen.temperature_c
    if celsius is None and snapshot is not None:
        celsius = snapshot.temperature_c
    return Dial(nitrogen.time_s, (nitrogen.pressure_pa - AIR_PA) / BAR_PA, celsius)


def rig_passages(
    snapshot: Snapshot,
    fields: JobFields,
    rules: EvacuationRules,
    test: PressureTest | None,
    words: Words,
) -> tuple[Passage, ...]:
    """Give the pressure test, how much of a rise is the rig's own, and what its hose costs."""
    passages = []
    if test is not None:
        heading = words.translate("Why", "Pressure test")
        passages.append(Passage(heading, tuple(pressure_test_lines(test, words))))
    share = rig_share_of(snapshot, fields, rules)
    if share is not None:
        heading = words.translate("Why", "The rig's own share")
        passages.append(Passage(heading, (words.reason(share),)))
    cost = rig_cost_lines(fields, words.unit, words.translate)
    if cost:
        passages.append(Passage(words.translate("Why", "What hose and cores cost"), cost))
    return tuple(passages)


def with_rig_share(
    screen: Screen, snapshot: Snapshot, fields: JobFields, rules: EvacuationRules, words: Words
) -> Screen:
    """Add, where a rise is shown, how much of it is the rig's own."""
    share = rig_share_of(snapshot, fields, rules)
    if share is None:
        return screen
    line, hold = words.reason(share), screen.hold
    if hold.page in ("holding", "finding"):
        return replace(screen, hold=replace(hold, reasons=(*hold.reasons, line)))
    isolation = f"{screen.isolation} {line}" if screen.isolation else ""
    return replace(screen, isolation=isolation)


def rig_share_of(snapshot: Snapshot, fields: JobFields, rules: EvacuationRules) -> Reason | None:
    """Set the rise of the hold, or of the last isolation, beside the blank-off's gas load."""
    rate_pa_s = None
    if snapshot.stage in ("holding", "done") and snapshot.hold is not None:
        rate_pa_s = rate_of(snapshot.hold)
    elif snapshot.isolations:
        rate_pa_s = snapshot.isolations[-1].rate
    return share_of_rig(snapshot.blank_off, rate_pa_s, fields, rules)
