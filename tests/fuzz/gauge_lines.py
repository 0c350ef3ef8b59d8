"""What a gauge, or anything else on the wire, sends: bytes to lines to readings."""

import math
from collections.abc import Iterator
from itertools import pairwise

from hypothesis import strategies as st

from app.gauge.listen import Listening
from sensors.calibration import Curve, Point
from sensors.events import Reading, Rejected
from sensors.line_decoder import LineDecoder, RawLines
from sensors.lines import LONGEST_LINE
from sensors.quantity import parse_quantity
from sensors.text_decoder import TextDecoder, TextFormat
from tests.fuzz.mangle import Seeded, seeded, variants
from tests.fuzz.target import Outcome, Target, check_sentence

_CURVE = Curve("log-linear", (Point(2.0, 1.0), Point(3.0, 10.0)))
_LINES = [
    b"523 micron;21,5 C\r\n", b"G1;523;21,5\n", b"523,21\n", b"523.5\t20.1\n", b"> 25000 micron\n",
    b"OL\n", b"-OL\r", b"p=523 pa t=21\n", b"a=1,5;b=2\n", b"pressure_pa,temperature_c\n",
    b'{"pressure_mbar": 0.52, "t": {"c": 21.5}}\n', b'{"p": 5e400}\n', b'{"p": "\\u001b[2J"}\n',
    b'{"p": "5 \\u0007x"}\n', b'{"a\\u001b": 1, "pressure\\n": 2, "pressurex": 3}\n', b"# note\n",
    b'{"p": ' + b"[" * 3000 + b"\n", b'{"p": ' + b"9" * 4080 + b"}\n", b"\xb5m 523\n", b"+ 523\n",
    b"9.91E37\n", b"9.9E37;1\n", b"-9.9E37\n", b"x" * 5000 + b"\n", b"5" * 4000 + b"\n",
    b'{"pressure": null}\n', b'{"a": {"b": {"c": 1}}, "pressure": true}\n', b"\xff\xfe\x00\x00\n",
    b"1 2 3 4 5 6 7 8 9\n", b"1,2,3;4\t5\n", b'"523";"x"\n', b"523 psig\n", b"1e-400 pa\n",
]  # fmt: skip
_FORMATS = st.builds(
    TextFormat,
    field=st.sampled_from([None, "1", "2", "9", "p", "pressure_mbar", "t.c", "x"]),
    unit=st.sampled_from([None, "pa", "micron"]),
    delimiter=st.sampled_from([None, ";", ",", " ", "\t", "x"]),
    temperature=st.sampled_from([None, "2", "t.c", "t"]),
    curve=st.sampled_from([None, _CURVE]),
    echo=st.sampled_from([b"", b"PR1\r"]),
)
_stream = seeded(st.lists(st.sampled_from(_LINES), max_size=8).map(b"".join))
_cuts = st.lists(st.integers(0, 1 << 14), max_size=6)
INPUTS = st.tuples(_FORMATS, _stream, _cuts)
Stream = tuple[TextFormat, bytes, list[int]]


def spread(made: tuple[TextFormat, Seeded, list[int]]) -> Iterator[Stream]:
    """Yield the stream and its variants, cut in the same places."""
    text_format, stream, cuts = made
    for data in variants(stream):
        yield text_format, data, cuts


def use(made: Stream) -> Outcome:
    """Decode in pieces and at one go; nothing is lost, made up or quoted unescaped."""
    text_format, data, cuts = made
    whole = _decoded(TextDecoder(text_format), data, [])
    assert _decoded(TextDecoder(text_format), data, cuts) == whole
    for event in whole:
        _check(event)
    listening = Listening("serial:x")
    for event in _decoded(RawLines(), data, cuts):
        assert isinstance(event, Rejected)
        assert len(event.raw) <= LONGEST_LINE
        listening.take(event)
    listening.proposals()
    for line in data.decode("latin-1").splitlines()[:20]:
        for is_decimal_comma in (False, True):
            try:
                parse_quantity(line, is_decimal_comma=is_decimal_comma)
            except ValueError:
                pass
    return "read" if any(isinstance(event, Reading) for event in whole) else "refused"


def _decoded(decoder: LineDecoder, data: bytes, cuts: list[int]) -> list[Reading | Rejected]:
    ends = [0, *sorted(cut % (len(data) + 1) for cut in cuts), len(data)]
    out: list[Reading | Rejected] = []
    for start, end in pairwise(ends):
        out += decoder.feed(data[start:end], 1.0)
    return [*out, *decoder.end(2.0)]


def _check(event: Reading | Rejected) -> None:
    if isinstance(event, Rejected):
        check_sentence(event.why)
        assert len(event.raw) <= LONGEST_LINE
        return
    assert math.isfinite(event.pressure_pa)
    assert event.pressure_pa >= 0.0
    assert event.temperature_c is None or math.isfinite(event.temperature_c)


TARGET = Target("lines", INPUTS, use, examples=60, spread=spread)
