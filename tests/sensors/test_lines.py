import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.events import Rejected
from sensors.line_decoder import HEARD, NO_END, RawLines
from sensors.lines import Line, LineSplitter


def test_all_three_line_ends() -> None:
    splitter = LineSplitter()
    assert [line.raw for line in splitter.feed(b"a\nb\r\nc\rd\r")] == [b"a", b"b", b"c", b"d"]
    assert splitter.feed(b"\ne\n") == [Line(b"e")]
    assert splitter.take_rest() == b""


def test_blank_lines_are_lines() -> None:
    assert [line.raw for line in LineSplitter().feed(b"\n\r\n\r\r")] == [b""] * 4


def test_a_long_line_comes_in_marked_pieces_and_the_next_is_whole() -> None:
    lines = LineSplitter(4).feed(b"abcdefghij\nkl\nmnop\n")
    assert lines == [
        Line(b"abcd", True, False),
        Line(b"efgh", True, False),
        Line(b"ij", True),
        Line(b"kl"),
        Line(b"mnop"),
    ]


def test_memory_is_bounded() -> None:
    splitter = LineSplitter(8)
    for _ in range(1000):
        splitter.feed(b"x" * 7)
    assert len(splitter.take_rest()) <= 8


def test_the_limit_is_checked() -> None:
    with pytest.raises(ValueError, match="longest"):
        LineSplitter(0)


@given(st.lists(st.binary(max_size=9) | st.sampled_from([b"\r", b"\n", b"\r\n", b"12"])))
def test_any_split_gives_the_same_lines(chunks: list[bytes]) -> None:
    pieces, whole, single = LineSplitter(5), LineSplitter(5), LineSplitter(5)
    data = b"".join(chunks)
    expected = whole.feed(data)
    assert [line for chunk in chunks for line in pieces.feed(chunk)] == expected
    assert [line for at in range(len(data)) for line in single.feed(data[at : at + 1])] == expected
    rest = whole.take_rest()
    assert pieces.take_rest() == rest
    plain = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    joined = b"".join(line.raw for line in expected) + rest
    assert joined == plain.replace(b"\n", b"")


def test_a_listener_gives_what_never_ends_once_it_is_quiet() -> None:
    listener = RawLines()
    assert listener.feed(b"\x02\x10\x33", 1.0) == []
    listener.mark_quiet()
    assert listener.feed(b"\x04", 1.3) == []  # it went on: the end may come yet
    listener.mark_quiet()
    assert listener.feed(b"", 1.6) == [Rejected(1.6, b"\x02\x10\x33\x04", NO_END)]
    listener.mark_quiet()
    assert listener.feed(b"", 1.9) == []
    assert listener.feed(b"523\n", 2.0) == [Rejected(2.0, b"523", HEARD)]
    [piece] = listener.feed(b"\xf0" * 1500, 3.0)  # nor is it waited for without a pause
    assert piece == Rejected(3.0, b"\xf0" * 1024, NO_END)
