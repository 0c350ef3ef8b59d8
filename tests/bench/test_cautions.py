import pytest

from tests.bench import cautions
from tests.bench.cautions import Case, Tally, independent


def tallied(*cases: Case) -> Tally:
    tally = Tally()
    for case in cases:
        tally.add(case)
    return tally


def test_seen_missed_and_false_are_counted_apart() -> None:
    tally = tallied(
        Case("a", (("ice", 100.0),), (("not-pulling-down", 500.0), ("ice", 900.0))),
        Case("b", (("ice", 100.0),), (("not-pulling-down", 500.0),)),
        Case("c", (), (("ice", 50.0), ("rising", 70.0))),
    )
    assert tally.delays_s["ice"] == [800.0]
    assert (list(tally.missed["ice"]), list(tally.stood_in["ice"])) == (["b"], ["b"])
    assert tally.false["ice"] == {"c": 1}
    assert tally.false["rising"] == {"c": 1}
    assert not tally.false["not-pulling-down"]


def test_a_caution_long_before_its_truth_is_not_that_caution() -> None:
    tally = tallied(Case("a", (("sudden-rise", 500.0),), (("sudden-rise", 300.0),)))
    assert tally.missed["sudden-rise"] == {"a": 1}


def test_one_rise_or_the_other_will_do_and_a_closed_valve_explains_one() -> None:
    tally = tallied(
        Case("a", (("rising", 500.0),), (("sudden-rise", 510.0),)),
        Case("b", (), (("rising", 90.0),), disturbed=((40.0, 95.0),)),
    )
    assert tally.delays_s["rising"] == [10.0]
    assert not tally.false["rising"]


@pytest.mark.parametrize(
    ("flat_s", "rate_per_s", "is_wrong"),
    [(700.0, 0.001, True), (800.0, 0.001, False), (900.0, 0.004, True), (None, 0.0, False)],
)
def test_flat_called_too_early(flat_s: float | None, rate_per_s: float, is_wrong: bool) -> None:
    tally = tallied(
        Case("a", (), (), law_flat_s=1000.0, flat_s=flat_s, rate_at_flat_per_s=rate_per_s)
    )
    assert bool(tally.wrong_flats) is is_wrong


def test_it_prints_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        cautions.main(["--kinds", "leak", "--scenarios", "", "--seeds", "1", "--first-seed", "1"])
        == 0
    )
    printed = capsys.readouterr().out
    assert "not-pulling-down          1      1      0     0" in printed
    assert "flat reached in 0 runs" in printed


@pytest.mark.slow
def test_an_ordinary_circuit_raises_none_and_a_leak_does() -> None:
    tally = tallied(*independent(("clean", "coarse", "leak", "weak_pump", "cold"), range(40, 42)))
    assert not any(tally.false.values())
    assert not any(tally.missed.values())
    assert not tally.wrong_flats
