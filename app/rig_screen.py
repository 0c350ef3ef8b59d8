"""Blank-off and pressure test in the window: typed figures in, sentences out."""

from collections.abc import Mapping

from analysis.pressure_test import PressureTest, TestPoint, judge_pressure_test
from analysis.reason import Reason
from analysis.snapshot import Snapshot
from app.job_fields import JobFields
from app.rig_tests import pressure_test_lines, share_of_rig
from app.screen import Passage
from app.settings import Settings
from app.words import Words

BAR_PA = 1e5
AIR_PA = 101_325.0  # ISO 2533 standard atmosphere: a dial shows what is over it
MINUTE_S = 60.0
TYPED = ("start_bar", "start_c", "end_bar", "end_c", "minutes")


def judge_typed(typed: Mapping[str, float]) -> PressureTest:
    """Judge a pressure test by what a dial shows, bar over the air outside.

    Parameters
    ----------
    typed
        All of :data:`TYPED`, and ``rated_bar`` where it is known.

    Raises
    ------
    ValueError
        If a number makes no sense; the text names it.
    """
    rated_bar = typed.get("rated_bar")
    return judge_pressure_test(
        TestPoint(typed["start_bar"] * BAR_PA + AIR_PA, typed["start_c"]),
        TestPoint(typed["end_bar"] * BAR_PA + AIR_PA, typed["end_c"]),
        typed["minutes"] * MINUTE_S,
        rated_pa=None if rated_bar is None else rated_bar * BAR_PA + AIR_PA,
    )


def rig_passages(
    snapshot: Snapshot,
    fields: JobFields,
    settings: Settings,
    test: PressureTest | None,
    words: Words,
) -> tuple[Passage, ...]:
    """Give the pressure test, and how much of a rise is the rig's own."""
    passages = []
    if test is not None:
        heading = words.translate("Why", "Pressure test")
        passages.append(Passage(heading, tuple(pressure_test_lines(test, words))))
    share = rig_share_of(snapshot, fields, settings)
    if share is not None:
        heading = words.translate("Why", "The rig's own share")
        passages.append(Passage(heading, (words.reason(share),)))
    return tuple(passages)


def rig_share_of(snapshot: Snapshot, fields: JobFields, settings: Settings) -> Reason | None:
    """Set the rise of the hold, or of the last isolation, beside the blank-off's gas load."""
    rate_pa_s = None
    if snapshot.stage in ("holding", "done") and snapshot.hold is not None:
        rate_pa_s = snapshot.hold.leak_pa_s
    elif snapshot.isolations:
        rate_pa_s = snapshot.isolations[-1].rate
    rig_ml = settings.rig_volume_ml
    rig_m3 = None if rig_ml is None else 1e-6 * rig_ml
    return share_of_rig(snapshot.blank_off, rate_pa_s, fields.volume_m3, rig_m3)
