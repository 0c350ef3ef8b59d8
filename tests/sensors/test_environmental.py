import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.ble_values import EnvironmentalValues, PackedValues, TextValues, Values
from sensors.environmental import (
    PressureRange,
    decode_battery,
    decode_name,
    decode_pressure,
    decode_temperature,
    decode_update_interval_s,
    decode_valid_range,
)
from sensors.events import Reading, Rejected
from sensors.packed_number import PackedFormat
from sensors.text_decoder import TextFormat


# Bluetooth SIG, GATT Specification Supplement: Pressure is a uint32 of 0.1 Pa.
@pytest.mark.parametrize(
    ("data", "pressure_pa"),
    [("A1070000", 195.3), ("00000000", 0.0), ("02760F00", 101325.0), ("FFFFFFFF", 429496729.5)],
)
def test_pressure(data: str, pressure_pa: float) -> None:
    assert decode_pressure(bytes.fromhex(data), 2.0, 21.5) == Reading(2.0, pressure_pa, 21.5)


@pytest.mark.parametrize("data", [b"", b"\1\2\3", b"\1\2\3\4\5"])
def test_a_pressure_of_the_wrong_length_is_rejected(data: bytes) -> None:
    rejected = decode_pressure(data, 2.0)
    assert isinstance(rejected, Rejected)
    assert rejected.raw == data
    assert "expected 4" in rejected.why


def test_outside_its_valid_range_the_gauge_was_out_of_range() -> None:
    valid = decode_valid_range(struct.pack("<II", 10, 26_664))
    assert valid == PressureRange(1.0, 2666.4)
    seen = [
        decode_pressure(struct.pack("<I", n), 0.0, None, valid) for n in (5, 10, 26_664, 30_000)
    ]
    assert [(r.pressure_pa, r.status) for r in seen if isinstance(r, Reading)] == [
        (1.0, "under-range"),
        (1.0, "ok"),
        (2666.4, "ok"),
        (2666.4, "over-range"),
    ]


def test_temperature() -> None:
    # sint16 of 0.01 C; 0x8000 is "value is not known".
    assert decode_temperature(bytes.fromhex("6608")) == 21.5
    assert decode_temperature(bytes.fromhex("F6FF")) == -0.1
    assert decode_temperature(bytes.fromhex("0080")) is None
    with pytest.raises(ValueError, match="absolute zero"):
        decode_temperature(bytes.fromhex("0180"))
    with pytest.raises(ValueError, match="expected 2"):
        decode_temperature(b"\1")


def test_battery_and_descriptors() -> None:
    assert decode_battery(b"\x50") == 80
    assert decode_battery(b"\xff") is decode_battery(b"") is None
    assert decode_valid_range(b"\0" * 8) is decode_valid_range(b"\1") is None
    measurement = bytes.fromhex("0000 01 000000 0A0000 01 FF")
    assert decode_update_interval_s(measurement) == 10
    assert decode_update_interval_s(b"\0" * 11) is decode_update_interval_s(b"\0") is None


def test_lines_cut_into_notifications_of_20_bytes() -> None:
    values = TextValues(TextFormat(unit="pa", field="2"))
    values.restart()
    sent = b"rest\n" + b"".join(b"gauge;%d.5;21.5;ok and more\r\n" % n for n in range(5))
    heard = [e for at in range(0, len(sent), 20) for e in values.feed(sent[at : at + 20], 1.0)]
    assert isinstance(heard[0], Rejected)  # it may have been cut at its start
    assert [e.pressure_pa for e in heard[1:] if isinstance(e, Reading)] == [0.5, 1.5, 2.5, 3.5, 4.5]


@given(st.lists(st.binary(max_size=24), max_size=6), st.sampled_from(["sig", "packed", "text"]))
def test_any_bytes_give_readings_or_rejections(packets: list[bytes], form: str) -> None:
    forms: dict[str, Values] = {
        "sig": EnvironmentalValues(),
        "packed": PackedValues(PackedFormat("f32le")),
        "text": TextValues(TextFormat()),
    }
    values = forms[form]
    values.restart()
    for packet in packets:
        for event in [*values.feed(packet, 1.0), *values.end(1.0)]:
            assert isinstance(event, Reading | Rejected)
        for decode in (decode_battery, decode_valid_range, decode_update_interval_s, decode_name):
            decode(packet)  # never raises
