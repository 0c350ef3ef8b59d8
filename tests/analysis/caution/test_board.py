"""Raising and lowering: from when it was seen, with patience both ways."""

from dataclasses import replace

import numpy as np

from analysis.caution.board import SIGNS, CautionBoard
from analysis.caution.boil import Boil
from analysis.caution.sight import Sight
from analysis.evacuation import Evacuation
from analysis.pace import Pace
from analysis.rules import EvacuationRules
from analysis.sample import Mark
from analysis.snapshot import Caution
from sensors.events import Reading
from tests.analysis.bursts_made import bursts_pa


def sight(time_s: float, **changes: object) -> Sight:
    plain = Sight(
        time_s=time_s,
        pull_s=0.0,
        pressure_pa=20.0,
        pace=Pace(),
        noise_pa=0.1,
        fall_s=None,
        circuit_c=20.0,
        silent_s=0.0,
        silence_s=30.0,
        quiet_s=0.0,
        is_isolated=False,
        is_proven=False,
        is_flat=False,
        boil=Boil(600.0),
    )
    return replace(plain, **changes)  # type: ignore[arg-type]  # any of the fields


def test_a_caution_is_raised_when_seen_and_lowered_when_gone() -> None:
    board = CautionBoard(EvacuationRules())
    assert not board.tick(sight(10.0, silent_s=29.0))
    (opened,) = board.tick(sight(11.0, silent_s=30.0))
    assert (opened.kind, opened.from_s, opened.until_s) == ("no-signal", 11.0, None)
    assert board.standing == (opened,)
    assert not board.tick(sight(12.0, silent_s=31.0))
    (closed,) = board.tick(sight(13.0))
    assert (closed.kind, closed.from_s, closed.until_s) == ("no-signal", 11.0, 13.0)
    assert not board.standing


def test_cold_does_not_flicker_between_its_two_limits() -> None:
    board = CautionBoard(EvacuationRules())
    changes: list[Caution] = []
    for second, celsius in enumerate([11.0, 9.9, 10.1, 9.8, 11.9, 12.1, 10.1]):
        changes += board.tick(sight(float(second), circuit_c=celsius))
    assert [(c.from_s, c.until_s) for c in changes] == [(1.0, None), (1.0, 5.0)]


def test_what_comes_and_goes_soon_stands() -> None:
    board, changes = CautionBoard(EvacuationRules()), list[Caution]()
    for second in range(2400):
        is_air = 300 <= second < 1500 and second % 75 < 30
        board.sample(float(second), 4000.0 if is_air else 20.0)
        changes += board.tick(sight(float(second)))
    raised = [c.from_s for c in changes if c.until_s is None]
    assert 1 <= len(raised) <= 3  # of sixteen
    assert changes[-1].until_s is not None
    assert changes[-1].until_s < 1500.0 + 300.0


def test_what_a_caution_is_called_does_not_flicker() -> None:
    """A burst each eleven minutes, where ten without one make it ice perhaps."""
    times_s, evacuation, codes = np.arange(0.0, 4500.0, 1.0), Evacuation(), list[str]()
    leak_pa = 160.0 + 2e4 * np.exp(-times_s / 15.0)
    leak_pa += bursts_pa(times_s, np.arange(400.0, 4500.0, 660.0), 12.0, 15.0)
    rng = np.random.default_rng(1)
    shown_pa = (leak_pa + rng.normal(0, 0.1, 4500)).tolist()
    for time_s, pa in zip(times_s.tolist(), shown_pa, strict=True):
        for caution in evacuation.update(Reading(time_s, pa)).cautions:
            if not codes or codes[-1] != caution.reason.code:
                codes.append(caution.reason.code)
    assert 1 <= len(codes) <= 2


def test_between_judgements_only_what_is_quick_is_weighed() -> None:
    board = CautionBoard(EvacuationRules())
    board.tick(sight(0.0))
    (silent,) = board.tick(sight(1.0, circuit_c=3.0, silent_s=60.0), is_due=False)
    assert silent.kind == "no-signal"
    (cold,) = board.tick(sight(2.0, circuit_c=3.0, silent_s=61.0))
    assert (cold.kind, cold.from_s) == ("cold", 2.0)
    assert board.kinds == {"no-signal", "cold"}


def test_two_cautions_stand_side_by_side() -> None:
    board = CautionBoard(EvacuationRules())
    board.tick(sight(0.0, circuit_c=3.0, silent_s=60.0))
    assert [c.kind for c in board.standing] == ["no-signal", "cold"]


def test_flat_without_bursts_is_settled_by_an_isolation_or_by_a_boil_off() -> None:
    boiled = Boil(600.0)
    for onset_s in (10.0, 50.0, 90.0):
        boiled.add(onset_s)
    board = CautionBoard(EvacuationRules())
    (opened,) = board.tick(sight(1900.0, is_flat=True))
    assert opened.kind == "no-bursts-seen"
    assert opened.reason.values["pulled_s"] == 1900.0
    (closed,) = board.tick(sight(1901.0, is_flat=True, is_proven=True))
    assert closed.until_s == 1901.0
    assert CautionBoard(EvacuationRules()).tick(sight(1900.0, is_flat=True, boil=boiled)) == ()


def test_every_kind_has_one_sign_and_patience_is_never_negative() -> None:
    assert len({sign.kind for sign in SIGNS}) == len(SIGNS) == 8
    assert all(sign.raise_s >= 0.0 <= sign.clear_s for sign in SIGNS)


def test_a_mark_of_heat_ends_a_slow_climb() -> None:
    board, pace, changes = CautionBoard(EvacuationRules()), Pace(), list[Caution]()
    for second in range(2400):
        pace.update(float(second), 8.0 + 0.4 / 60 * max(second - 300, 0))
        if second == 1500:
            board.mark(Mark(1500.0, "heat"))
        changes += board.tick(sight(float(second), pace=pace, noise_pa=0.02))
    assert [c.reason.code for c in changes] == ["climbing", "climbing"]
    assert changes[-1].until_s is not None
    assert 1500.0 <= changes[-1].until_s <= 1502.0
