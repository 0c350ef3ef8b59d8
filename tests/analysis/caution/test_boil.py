import math

from analysis.caution.boil import KEPT, Boil


def after(*onsets_s: float) -> Boil:
    boil = Boil(600.0)
    for onset_s in onsets_s:
        boil.add(onset_s)
    return boil


def test_three_bursts_in_a_flat_interval_are_a_boil_off() -> None:
    assert after(0.0, 300.0, 600.0).has_boiled
    assert after(0.0, 600.0, 300.0).has_boiled, "told out of order"


def test_a_burst_now_and_then_is_none() -> None:
    assert not after(0.0, 590.0).has_boiled
    assert not after(*(400.0 * i for i in range(40))).has_boiled


def test_what_has_boiled_has_boiled_until_it_is_forgotten() -> None:
    boil = after(0.0, 10.0, 20.0, 9000.0, 20000.0)
    assert boil.has_boiled
    assert boil.count(8000.0) == 2
    boil.forget()
    assert not boil.has_boiled
    assert boil.count(-math.inf) == 0


def test_memory_is_bounded() -> None:
    assert after(*map(float, range(1000))).count(-math.inf) == KEPT


def test_it_says_since_when_it_remembers_all() -> None:
    assert after(1.0, 2.0).known_from_s == -math.inf
    assert after(*map(float, range(1000))).known_from_s == 1000.0 - KEPT
