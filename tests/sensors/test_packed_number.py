import math
import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.events import Reading, Rejected
from sensors.packed_number import PackedFormat, read_form, unpacked

FORMS = [f"{sign}{bits}{order}" for sign in "us" for bits in (16, 24, 32) for order in ("le", "be")]
FORMS += ["u8", "s8", "f32le", "f32be", "f64le", "f64be"]


@pytest.mark.parametrize(
    ("form", "data", "number"),
    [
        ("u8", "FF", 255),
        ("s8", "FF", -1),
        ("u16le", "0102", 0x0201),
        ("u16be", "0102", 0x0102),
        ("s16be", "FFFE", -2),
        ("u24le", "138A01", 100883),
        ("s24be", "FFFFFF", -1),
        ("u32be", "00010000", 65536),
        ("f32be", "3F800000", 1.0),  # 1.0 is 3F800000 in IEEE 754 binary32
        ("f64le", "000000000000F03F", 1.0),
    ],
)
def test_exact_bytes(form: str, data: str, number: float) -> None:
    assert unpacked(form, bytes.fromhex(data)) == number


def test_scale_offset_and_unit() -> None:
    packed = PackedFormat("u16be", scale=0.1, offset=-2.0, unit="mbar")
    assert packed.decode(b"\x00\x64", 5.0) == Reading(5.0, 800.0)
    # The trade's unit when none is told.
    reading = PackedFormat("u16be").decode(b"\x01\xf4", 5.0)
    assert isinstance(reading, Reading)
    assert reading.pressure_pa == pytest.approx(500 * 0.1333224)


@pytest.mark.parametrize(
    ("form", "data", "why"),
    [
        ("u16le", b"", "0 bytes came; expected 2"),
        ("u16le", b"abc", "3 bytes came; expected 2"),
        ("s16le", b"\xff\xff", "negative"),
        ("f32le", struct.pack("<f", math.nan), "not finite"),
        ("f64le", struct.pack("<d", math.inf), "not finite"),
        ("f64le", struct.pack("<d", 1.7e308), "too big"),
    ],
)
def test_what_is_no_pressure_is_rejected_with_its_bytes(form: str, data: bytes, why: str) -> None:
    rejected = PackedFormat(form, unit="inhg").decode(data, 1.0)
    assert isinstance(rejected, Rejected)
    assert (rejected.time_s, rejected.raw) == (1.0, data)
    assert why in rejected.why


@given(st.binary(max_size=10), st.sampled_from(FORMS), st.floats(-1e30, 1e30))
def test_any_bytes_give_a_reading_or_a_rejection(data: bytes, form: str, scale: float) -> None:
    event = PackedFormat(read_form(form), scale=scale, unit="pa").decode(data, 1.0)
    if isinstance(event, Reading):
        assert 0 <= event.pressure_pa < math.inf
    else:
        assert event.why


@pytest.mark.parametrize("form", ["", "u16", "u12le", "f16le", "x32le", "u8le", "text"])
def test_forms_that_are_none(form: str) -> None:
    with pytest.raises(ValueError, match="expected one of"):
        read_form(form)
