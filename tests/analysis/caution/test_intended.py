from analysis.caution.intended import AWAITED_S, SETTLES_S, VALVES, Intended


def test_nitrogen_that_was_marked_is_meant_until_it_is_pumped_out() -> None:
    intended = Intended()
    assert not intended.is_so(99.0, 20.0)
    intended.mark(100.0, "nitrogen-in")
    assert intended.is_so(101.0, 20.0), "the mark is made before the gas comes"
    assert intended.is_so(130.0, 1.1e5)
    assert intended.is_so(1000.0, 1.05e5), "however long it stays in"
    assert not intended.is_so(1010.0, 4e4)
    assert not intended.is_so(1011.0, 9e4), "once pumped out a rise is a rise again"


def test_a_mark_made_late_covers_what_is_in_already() -> None:
    intended = Intended()
    intended.mark(100.0, "nitrogen-in")
    assert intended.is_so(101.0, 1.1e5)
    assert not intended.is_so(400.0, 3e4)


def test_gas_that_never_comes_is_not_awaited_for_ever() -> None:
    intended = Intended()
    intended.mark(100.0, "nitrogen-in")
    assert intended.is_so(100.0 + AWAITED_S - 1.0, 25.0)
    assert not intended.is_so(100.0 + AWAITED_S + 1.0, 25.0)


def test_a_valve_that_was_marked_settles() -> None:
    for kind in VALVES:
        intended = Intended()
        intended.mark(50.0, kind)
        assert intended.is_so(50.0 + SETTLES_S - 1.0, 300.0)
        assert not intended.is_so(50.0 + SETTLES_S, 300.0)
    intended.mark(500.0, "note")
    assert not intended.is_so(501.0, 300.0)
