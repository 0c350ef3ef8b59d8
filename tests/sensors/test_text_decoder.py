import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.events import Reading, Rejected
from sensors.text_decoder import TextDecoder, TextFormat
from sensors.units import PA_PER_UNIT


def decoded(
    data: bytes,
    *,
    field: str | None = None,
    unit: str | None = "pa",
    delimiter: str | None = None,
    temperature: str | None = None,
) -> list[Reading | Rejected]:
    text_format = TextFormat(field, unit, delimiter, temperature)
    return TextDecoder(text_format, is_start_whole=True).feed(data, 5.0)


def values(out: list[Reading | Rejected]) -> list[tuple[float, float | None]]:
    assert all(isinstance(event, Reading) for event in out), out
    return [(e.pressure_pa, e.temperature_c) for e in out if isinstance(e, Reading)]


@pytest.mark.parametrize(
    "line",
    [
        b"7,523,21.5",
        b"7;523;21,5",
        b"7\t523\t21.5",
        b"7  523   21.5",
        b"7, 523, 21.5 C",
        b'"7";"523";"21.5"',
        b" 7;+5.23E2;70.7 F",
        b"7\t523\t294.65 K",
        b"7 523 21,5",
    ],
)
def test_the_delimiter_is_found(line: bytes) -> None:
    [(pressure_pa, temperature_c)] = values(decoded(line + b"\n", field="2", temperature="3"))
    assert pressure_pa == 523
    assert temperature_c == pytest.approx(21.5)


@pytest.mark.parametrize(
    ("line", "options", "pressure_pa"),
    [
        (b"523", {}, 523),
        (b"0,523", {"delimiter": " "}, 0.523),
        (b"0,523;1", {}, 0.523),
        (b"0,523 21,4", {}, 0.523),
        (b"523,21", {"field": "2"}, 21),
        (b"523,21", {"delimiter": ","}, 523),
        (b"450,296.5", {"delimiter": ","}, 450),
        (b"450,296.5", {"field": "2"}, 296.5),
        (b"523,21.5", {}, 523),
        (b"12:30:01,523", {"field": "2"}, 523),
        (b"12|523|x", {"field": "2", "delimiter": "|"}, 523),
        (b"523 micron", {}, 523 * PA_PER_UNIT["micron"]),
        (b"523 micron 21.5", {}, 523 * PA_PER_UNIT["micron"]),
        (b"523 OK", {"delimiter": " "}, 523),
        (b"0.5mbar;21", {}, 50),
        (b"523 \xb5mHg", {}, 523 * PA_PER_UNIT["micron"]),
        ("523 µmHg".encode(), {}, 523 * PA_PER_UNIT["micron"]),
        (b"T=21 pressure=523", {}, 523),
        (b"T=21,P=523 micron", {}, 523 * PA_PER_UNIT["micron"]),
        (b"p = 0,5 mbar; t = 21,5 C", {}, 50),
        (b"vac=523, t=21", {"field": "vac"}, 523),
        (b'{"pressure_mbar": 5}', {"unit": None}, 500),
        (b'{"a": {"b": "5 mbar"}, "pressure": 1}', {"field": "a.b"}, 500),
        (b'{"a.b": 5}', {"field": "a.b"}, 5),
        (b"-0", {}, 0),
    ],
)
def test_lines_of_all_kinds(
    line: bytes, options: dict[str, str | None], pressure_pa: float
) -> None:
    [(found_pa, _)] = values(decoded(line + b"\r\n", **options))
    assert found_pa == pytest.approx(pressure_pa, rel=1e-12)


@pytest.mark.parametrize(
    ("line", "options", "why"),
    [
        (b"0,523", {}, "delimiter="),
        (b"1,234 micron", {}, "delimiter="),
        (b"P=1,234", {}, "delimiter="),
        (b"37,132.7", {}, "thousands"),  # no 37 of anything
        (b"1,234,567.8 Pa", {"field": "1"}, "thousands"),
        (b"523,21", {"field": "1"}, "delimiter="),
        (b"-5", {}, "negative"),
        (b"nan", {}, "finite"),
        (b"-inf", {}, "finite"),
        (b"9.91E37", {}, "not a number"),
        (b"hello", {}, "no number"),
        (b"ERROR 7", {}, "no number"),
        (b"523 psig", {}, "'psig'"),
        (b"523 OK", {}, "'OK'"),
        (b"523,psig", {"field": "2"}, "no number"),
        (b"523;1", {"field": "3"}, "no field 3"),
        (b"523;1", {"field": "vac"}, "header"),
        (b";1", {}, "empty"),
        (b"T=21 H=523", {}, "field="),
        (b"P=1 P=2", {}, "twice"),
        (b'{"pressure": NaN}', {}, "finite"),
        (b'{"pressure": null}', {}, "no number"),
        (b'{"pressure": true}', {}, "no number"),
        (b'{"pressure": [1]}', {}, "no number"),
        (b'{"pressure": 1e999}', {}, "finite"),
        (b'{"pressure": 5', {}, "JSON"),
        (b'{"t": 5}', {}, "field="),
        (b'{"pressure": ' + b"9" * 400 + b"}", {}, "finite"),
        (b'{"pressure": ' + b"[" * 4000 + b"}", {}, "JSON"),
        (b"\x0052\x013", {}, "baud"),
        (b"5\xff3", {}, "no unit"),
        (b"1" * 5000, {}, "too"),
    ],
)
def test_no_reading_and_why(line: bytes, options: dict[str, str | None], why: str) -> None:
    out = decoded(line + b"\n", **options)
    assert out
    assert all(isinstance(event, Rejected) for event in out), out
    assert any(why in event.why for event in out if isinstance(event, Rejected)), out
    assert b"".join(event.raw for event in out if isinstance(event, Rejected)) == line


@pytest.mark.parametrize(
    ("line", "status", "pressure_pa"),
    [
        (b"OL", "over-range", 101325.0),
        (b"> 2500 Pa", "over-range", 2500.0),
        (b"<1", "under-range", 1.0),
        (b"UNDER", "under-range", 0.0),
        (b"OVER RANGE", "over-range", 101325.0),
        (b"OL;21", "over-range", 101325.0),
        (b"P=OL", "over-range", 101325.0),
    ],
)
def test_out_of_range(line: bytes, status: str, pressure_pa: float) -> None:
    [event] = decoded(line + b"\n")
    assert isinstance(event, Reading)
    assert (event.status, event.pressure_pa) == (status, pressure_pa)


def test_blank_lines_comments_and_the_header_are_neither() -> None:
    data = b"\n# a gauge\n\xef\xbb\xbftime;Pressure (mbar);temperature_c\r\n1;5;21\n1;6;\n\r\n"
    assert values(decoded(data, unit=None)) == [(500, 21), (600, None)]


def test_a_line_that_does_not_fit_the_header_is_rejected() -> None:
    out = decoded(b"t,pressure_pa\n1,5\n6\n")
    assert isinstance(out[0], Reading)
    assert isinstance(out[1], Rejected)
    assert "expected 2" in out[1].why


def test_the_header_stays_over_a_reconnection() -> None:
    decoder = TextDecoder(TextFormat(field="vac", unit="pa"), is_start_whole=True)
    assert decoder.feed(b"t;vac\n", 0) == []
    decoder.restart(is_start_whole=True)
    assert values(decoder.feed(b"1;5\n", 0)) == [(5, None)]


def test_an_earlier_line_tells_what_the_comma_is() -> None:
    assert values(decoded(b"99,21.5\n450,296.5\n")) == [(99, None), (450, None)]
    assert values(decoded(b"523,21.5\n523,21\n")) == [(523, None), (523, None)]
    assert values(decoded(b"0,523 21,5\n0,524\n")) == [(0.523, None), (0.524, None)]


def test_a_bad_temperature_does_not_cost_the_pressure_and_is_told() -> None:
    reading, rejected = decoded(b"5;---\n", temperature="2")
    assert reading == Reading(5.0, 5.0)
    assert isinstance(rejected, Rejected)
    assert "temperature" in rejected.why


def test_a_first_line_that_may_be_cut_is_no_reading() -> None:
    decoder = TextDecoder(TextFormat(unit="pa"))
    first, second = decoder.feed(b"23\r\n524\r\n", 1.0)  # the end of "523"
    assert first == Rejected(1.0, b"23", "the first line after connecting may be cut at its start")
    assert second == Reading(1.0, 524.0)
    decoder.restart()
    assert isinstance(decoder.feed(b"24\n", 1.0)[0], Rejected)


def test_a_line_end_alone_makes_the_next_line_whole() -> None:
    assert TextDecoder(TextFormat(unit="pa")).feed(b"\n523\n", 1.0) == [Reading(1.0, 523.0)]


def test_after_quiet_the_first_line_is_whole_but_not_once_bytes_have_come() -> None:
    decoder = TextDecoder(TextFormat(unit="pa"))
    decoder.mark_quiet()
    assert decoder.feed(b"523\n", 1.0) == [Reading(1.0, 523.0)]
    decoder.restart()
    decoder.feed(b"2", 1.0)
    decoder.mark_quiet()
    assert isinstance(decoder.feed(b"3\n", 1.0)[0], Rejected)


def test_a_long_first_line_leaves_the_next_one_whole() -> None:
    out = TextDecoder(TextFormat(unit="pa")).feed(b"x" * 9000 + b"\n523\n", 1.0)
    assert out[-1] == Reading(1.0, 523.0)


@pytest.mark.parametrize("at", range(1, 30))
def test_a_cut_json_object_is_never_a_reading(at: int) -> None:
    whole = b'{"a":{"pressure":523,"x":{}}}'
    assert isinstance(TextDecoder().feed(whole + b"\n", 0)[0], Rejected)  # no top-level pressure
    decoder = TextDecoder(TextFormat(field="pressure"))
    out = decoder.feed(whole[at:] + b"\n", 0)
    assert not any(isinstance(event, Reading) for event in out)


def test_the_last_line_without_its_end_is_rejected() -> None:
    decoder = TextDecoder(is_start_whole=True)
    assert decoder.feed(b"523", 1.0) == []
    assert decoder.end(2.0) == [
        Rejected(2.0, b"523", "the line was cut off at its end when the connection ended")
    ]
    assert decoder.end(2.0) == []


_BYTES = st.lists(
    st.binary(max_size=8)
    | st.sampled_from([b"523", b"0,5", b";", b",", b" ", b"\r", b"\n", b"\r\n", b"P=", b"micron"])
    | st.sampled_from([b'{"pressure":5}', b"t;pressure_pa\n", b"OL", b"\t", b"-", b"1e5", b">"]),
    max_size=40,
)
_FORMATS = st.builds(
    TextFormat,
    field=st.sampled_from([None, "1", "2", "pressure", "P"]),
    unit=st.sampled_from([None, "pa", "inhg"]),
    delimiter=st.sampled_from([None, ",", ";", " "]),
    temperature=st.sampled_from([None, "2", "T"]),
)


@given(_BYTES, _FORMATS, st.booleans())
def test_any_split_gives_the_same_readings_and_no_bytes_raise(
    chunks: list[bytes], text_format: TextFormat, is_start_whole: bool
) -> None:
    data = b"".join(chunks)
    outs = []
    for pieces in (chunks, [data], [data[at : at + 1] for at in range(len(data))]):
        decoder = TextDecoder(text_format, is_start_whole=is_start_whole)
        out = [event for piece in pieces for event in decoder.feed(piece, 1.0)]
        outs.append([*out, *decoder.end(1.0)])
    assert outs[0] == outs[1] == outs[2]
    for event in outs[0]:
        if isinstance(event, Reading):
            assert math.isfinite(event.pressure_pa)
            assert event.pressure_pa >= 0


@given(st.binary(max_size=300))
def test_arbitrary_bytes_never_raise(data: bytes) -> None:
    TextDecoder(is_start_whole=True).feed(data + b"\n", 0.0)


@given(st.lists(st.floats(0, 1e7), min_size=1, max_size=20), st.sampled_from([b";", b"\t", b" "]))
def test_every_line_yields_something(pressures: list[float], delimiter: bytes) -> None:
    lines = [b"7" + delimiter + repr(p).encode() for p in pressures]
    found = values(decoded(b"\n".join(lines) + b"\n", field="2"))
    assert [p for p, _ in found] == pressures


def test_garbage_with_empty_fields_is_no_header() -> None:
    decoder = TextDecoder(TextFormat(unit="pa"), is_start_whole=True)
    out = decoder.feed(b"!\t\t?\n1.5\n", 1.0)
    assert [type(event) for event in out] == [Rejected, Reading]
