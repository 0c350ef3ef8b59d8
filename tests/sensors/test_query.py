import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.events import Reading
from sensors.query import ANSWER_S, Asker, Query, read_every_s, read_query
from sensors.text_decoder import TextDecoder, TextFormat


def test_texts() -> None:
    assert read_query("PR1\r") == b"PR1\r"
    assert read_query("\x05") == b"\x05"  # ENQ
    for wrong in ("", "µ", "x" * 65):
        with pytest.raises(ValueError, match="ASCII"):
            read_query(wrong)
    assert [read_every_s(text) for text in ("1", ".5", "0.02", "3600")] == [1, 0.5, 0.02, 3600]
    for wrong in ("0", "0.019", "3601", "-1", "1e3", "nan", "", "."):
        with pytest.raises(ValueError, match="seconds"):
            read_every_s(wrong)


def test_a_slow_gauge_is_asked_again_only_when_it_answered_or_never_will() -> None:
    asker = Asker(Query(b"?", 0.2), from_s=0.0)
    assert asker.due(0.0) == b"?"
    assert asker.due(0.9) is None
    assert asker.wait_s(0.9) == pytest.approx(0.1)
    assert asker.due(ANSWER_S) == b"?"  # the first answer was lost
    asker.answered()
    assert asker.due(1.1) is None
    assert asker.due(1.2) == b"?"


def test_questions_missed_in_a_sleep_are_not_caught_up() -> None:
    asker = Asker(Query(b"?", 1.0), from_s=0.0)
    for now_s in (0.0, 3600.0, 3601.0):
        assert asker.due(now_s) == b"?"
        assert asker.due(now_s) is None
        asker.answered()
    assert asker.due(3601.5) is None


@given(
    st.floats(0.02, 10.0),
    st.lists(st.tuples(st.floats(0.0, 3.0), st.booleans()), max_size=60),
)
def test_never_faster_than_told(every_s: float, steps: list[tuple[float, bool]]) -> None:
    asker, now_s, sent = Asker(Query(b"?", every_s), from_s=0.0), 0.0, []
    for step_s, is_answered in steps:
        now_s += step_s
        if asker.due(now_s) is not None:
            sent.append(now_s)
            assert asker.due(now_s) is None
        assert asker.wait_s(now_s) >= 0
        if is_answered:
            asker.answered()
    # One may come late and the next in time: over any stretch there is at most one to spare.
    for first, a in enumerate(sent):
        assert len(sent) - first <= (now_s - a) / every_s + 2


def test_an_echo_is_no_reading() -> None:
    decoder = TextDecoder(TextFormat(unit="pa", echo=b"PR1\r\n"), is_start_whole=True)
    assert decoder.feed(b"PR1\r\n66.5\r\n", 1.0) == [Reading(1.0, 66.5)]
