"""Every decoder of a stream: the same bytes give the same, however they are cut, and never raise.

Decoders of whole packets and registers have tests of their own beside their kind
(``test_environmental``, ``test_bthome``, ``test_packed_number``, ``test_modbus``, ``test_scpi``).
"""

from collections.abc import Callable
from itertools import pairwise
from typing import Protocol

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sensors.ble_values import TextValues
from sensors.calibration import Curve, Point
from sensors.events import Reading, Rejected
from sensors.line_decoder import RawLines
from sensors.text_decoder import TextDecoder, TextFormat

HEAD = Curve("log-linear", (Point(2.0, 1.0), Point(3.0, 10.0)), low=1.0, high=8.0)


class Decoder(Protocol):
    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]: ...

    def end(self, time_s: float) -> list[Rejected]: ...


DECODERS: dict[str, Callable[[], Decoder]] = {
    "listened": RawLines,
    "plain": lambda: TextDecoder(TextFormat(unit="pa"), is_start_whole=True),
    "csv": lambda: TextDecoder(TextFormat(field="pressure_pa"), is_start_whole=True),
    "named": lambda: TextDecoder(TextFormat(field="P", temperature="T"), is_start_whole=True),
    "json": lambda: TextDecoder(TextFormat(field="p.Pa", temperature="t"), is_start_whole=True),
    "curve": lambda: TextDecoder(TextFormat(field="2", curve=HEAD), is_start_whole=True),
    "asked": lambda: TextDecoder(TextFormat(unit="pa", echo=b"P?\r"), is_start_whole=True),
    "bluetooth": lambda: TextValues(TextFormat(field="2", delimiter=";")),
}

numbers = st.sampled_from(["523", "-1", "1e400", "nan", "OL", "0,5", "", ">9", "9.9E37", "21.5 C"])
texts = st.one_of(
    st.builds("{}".format, numbers),
    st.builds("{};{}".format, numbers, numbers),
    st.builds("P={} T={}".format, numbers, numbers),
    st.builds('{{"p":{{"Pa":{}}},"t":{}}}'.format, numbers, numbers),
    st.sampled_from(["n;pressure_pa", "P?", "# about", '{"p":[', "9" * 5000, "\ufeff5", "{" * 99]),
)
ends = st.sampled_from([b"\n", b"\r\n", b"\r", b""])
lines = st.builds(lambda text, end: text.encode() + end, texts, ends)
streams = st.lists(lines | st.binary(max_size=6), max_size=12).map(b"".join)


def told(decoder: Decoder, data: bytes, cuts: list[int]) -> list[Reading | Rejected]:
    at = [0, *sorted(cut % (len(data) + 1) for cut in cuts), len(data)]
    out = [event for a, b in pairwise(at) for event in decoder.feed(data[a:b], 1.0)]
    return [*out, *decoder.end(1.0)]


@pytest.mark.parametrize("kind", DECODERS)
@given(data=streams, cuts=st.lists(st.integers(0, 10_000), max_size=8))
@settings(max_examples=60)
def test_any_cut_gives_the_same_and_nothing_raises(kind: str, data: bytes, cuts: list[int]) -> None:
    make = DECODERS[kind]
    whole = told(make(), data, [])
    assert told(make(), data, cuts) == whole
    assert told(make(), data, list(range(len(data) % 600))) == whole
    for event in whole:
        if isinstance(event, Reading):
            assert 0 <= event.pressure_pa < float("inf")
        else:
            assert event.why
