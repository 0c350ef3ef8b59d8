from analysis.burst.early_marks import EarlyMarks
from analysis.burst.explanation import Event, Kind
from analysis.burst.pumpdown_filter import start


def event(time_s: float, kind: Kind = "burst") -> Event:
    return Event(kind, time_s, start(50.0, 0.01), 20.0, 1.0, 20.0, 1.0)


def test_a_burst_keeps_its_number_until_it_is_final() -> None:
    marks = EarlyMarks()
    assert marks.add(event(10.0)) == 1
    assert marks.has(event(11.0))
    assert not marks.has(event(20.0))
    assert marks.take(event(20.0)) == 2
    assert marks.take(event(10.5)) == 1
    assert not marks.has(event(10.0))


def test_what_is_no_longer_held_is_dropped() -> None:
    marks = EarlyMarks()
    marks.add(event(10.0))
    marks.add(event(20.0))
    assert [number for number, _ in marks.drop_all_but((event(10.5), event(20.0, "step")))] == [2]
    assert marks.has(event(10.0))
    assert [number for number, _ in marks.drop_all_but(())] == [1]
    assert marks.drop_all_but(()) == []
