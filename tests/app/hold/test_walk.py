"""What the walk through a standing test says while it goes on: when it may end, and what so far."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from analysis.evacuation import Evacuation
from analysis.hold.finding import analyse_hold
from analysis.hold.length import CircuitKind
from analysis.reason import Reason
from analysis.sample import Mark
from analysis.snapshot import Snapshot
from app.hold.lengths import ORDINARY, HoldLengths
from app.hold.walk import HoldWalk, hold_screen, tone_of
from app.words.phrases import english
from app.words.sentences import Words
from sensors.events import Reading

LEAK_PA_S = 0.06


@cache
def after(until_s: float, slope_pa_s: float = LEAK_PA_S) -> Snapshot:
    """Give a hold's moment; only its finding is worked out, not each one on the way."""
    evacuation = Evacuation()
    evacuation.update(Reading(0.0, 20.0))
    snapshot = evacuation.update(Mark(0.0, "valve-closed"))
    time_s = np.arange(until_s + 1.0)
    noise_pa = np.random.default_rng(4).normal(0.0, 0.03, len(time_s))
    hold = analyse_hold(time_s, 20.0 + slope_pa_s * time_s + noise_pa)
    return snapshot._replace(time_s=until_s, hold=hold)


def test_at_first_it_is_too_early_then_the_finding_firms_up() -> None:
    words, early, late = Words(), after(60.0), after(420.0)
    assert "Too early" in words.verdict(early)
    end = ORDINARY.end(late.hold)
    assert end is not None
    verdict = words.verdict(late, end.reason)
    assert "So far it looks like a leak" in verdict
    assert "may end" in verdict
    assert "Find the joint" not in verdict, "that is said once the test is over"


def test_a_hold_that_holds_waits_for_its_kind_of_circuit() -> None:
    snapshot = after(620.0, 0.0)
    expected: dict[CircuitKind, bool] = {"clean": True, "normal": False, "disputed": False}
    for kind, may_end in expected.items():
        lengths = HoldLengths(kind)
        screen = hold_screen("holding", snapshot, Words(), english, lengths)
        assert screen.may_end is may_end, kind
        assert ("may end" in screen.end) is may_end
        assert screen.finding.tone == ("good" if may_end else "attention")


def test_a_hold_ended_too_early_says_so_and_never_looks_good() -> None:
    snapshot = after(420.0, 0.0)
    assert snapshot.hold is not None
    assert snapshot.hold.finding == "held"
    screen = hold_screen("finding", snapshot, Words(), english)
    assert "only" in screen.end
    assert "20 min" in screen.end
    assert tone_of(snapshot.hold) == "attention"
    assert tone_of(replace(snapshot.hold, duration_s=1300.0)) == "good"


def test_held_until_gas_rushed_in_never_looks_good() -> None:
    """Where the limits are so high that the gas passes none."""
    hold = after(420.0, 0.0).hold
    assert hold is not None
    rushed = replace(hold, duration_s=1300.0, reasons=(Reason("opened-to-air", {"after_s": 9.0}),))
    assert all(check.passed for check in rushed.limits)
    assert tone_of(rushed) == "attention"


@pytest.mark.parametrize(
    ("pressure_pa", "is_told"), [(45.0, False), (40.0, False), (25.0, True), (6.0, True)]
)
def test_a_pull_that_nobody_marked_after_a_test_is_asked_about(
    pressure_pa: float, is_told: bool
) -> None:
    over = after(420.0)._replace(stage="done", pressure_pa=pressure_pa)  # from 20 to 45 Pa
    screen = hold_screen("finding", over, Words(), english)
    assert ("pump pulls again" in screen.warning) == is_told
    beyond = hold_screen("finding", over._replace(status="over-range"), Words(), english)
    assert "pump pulls again" not in beyond.warning


def test_a_circuit_that_hardly_rose_is_not_asked_whether_it_is_pulled() -> None:
    over = after(620.0, 0.0)._replace(stage="done", pressure_pa=19.0)
    assert "pump pulls again" not in hold_screen("finding", over, Words(), english).warning


def test_a_leaks_reasons_do_not_speak_of_the_smallest_leak() -> None:
    codes = [reason.code for reason in after(420.0).hold.reasons]  # type: ignore[union-attr]
    assert "smallest-leak" not in codes
    assert "smallest-leak" in [r.code for r in after(420.0, 0.0).hold.reasons]  # type: ignore[union-attr]


@pytest.mark.parametrize("page", ["even-out"])
def test_the_kind_of_circuit_can_be_chosen_while_there_is_time(page: str) -> None:
    screen = hold_screen(page, after(60.0), Words(), english, HoldLengths("long"))  # type: ignore[arg-type]
    assert screen.kind == "long"
    assert dict(screen.kinds)["disputed"] == "disputed: at least 60 min"


@pytest.mark.parametrize("until_s", [400.0, 1500.0])
def test_of_a_reading_that_does_not_move_it_is_told_what_to_do(until_s: float) -> None:
    snapshot = after(60.0)
    time_s = np.arange(until_s + 1.0)
    still = analyse_hold(time_s, np.full(len(time_s), 20.0))
    snapshot = snapshot._replace(time_s=until_s, hold=still)
    end = ORDINARY.end(still)
    assert end is not None
    texts = [
        Words().verdict(snapshot),
        Words().verdict(snapshot, end.reason),
        Words().verdict(snapshot._replace(stage="done")),
        hold_screen("holding", snapshot, Words(), english).end,
    ]
    for text in texts:
        assert "Check the gauge" in text
        assert "Hold" not in text.replace("Holding", "")
    assert tone_of(still) == "attention"


def test_a_gauge_stuck_from_the_first_minute_on_does_not_look_like_an_early_moment() -> None:
    time_s = np.arange(901.0)
    pressure_pa = 20.0 + np.random.default_rng(2).normal(0.0, 0.05, len(time_s)).round(2)
    pressure_pa[time_s >= 60.0] = pressure_pa[59]
    stuck = analyse_hold(time_s, pressure_pa)
    snapshot = after(60.0)._replace(time_s=900.0, hold=stuck)
    walk = HoldWalk()
    walk.skip_to_hold()
    assert walk.page(snapshot) == "holding"
    assert "Check the gauge" in Words().verdict(snapshot)
    assert "longer:" not in hold_screen("holding", snapshot, Words(), english).end
