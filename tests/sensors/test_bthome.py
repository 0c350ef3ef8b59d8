import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.bthome import BthomeDecoder
from sensors.events import Reading, Rejected


def fed(text: str, decoder: BthomeDecoder | None = None) -> list[Reading | Rejected]:
    return (decoder or BthomeDecoder()).feed(bytes.fromhex(text), 1.0)


@pytest.mark.parametrize(
    ("data", "pressure_pa", "temperature_c"),
    [
        # bthome.io/format, table "Sensor data": 04138A01 is 1008.83 hPa, 02CA09 is 25.06 C.
        ("40 04138A01", 100883.0, None),
        ("40 02CA09 04138A01", 100883.0, 25.06),
        # 451101 is 27.3 C there; a device that sends on a trigger has bit 2 set.
        ("44 04138A01 451101", 100883.0, 27.3),
        ("40 04000000", 0.0, None),
        ("40 02F6FF 04FFFFFF", 16777215.0, -0.1),
        # Battery 97 %, count 96, a text of its own length, before and behind.
        ("40 0161 02CA09 04138A01 0960 5303414243", 100883.0, 25.06),
    ],
)
def test_published_bytes(data: str, pressure_pa: float, temperature_c: float | None) -> None:
    assert fed(data) == [Reading(1.0, pressure_pa, temperature_c)]


def test_the_published_example_holds_no_pressure_but_a_temperature_for_later() -> None:
    decoder = BthomeDecoder()
    # The service data of the page's first example: 25.00 C and 50.55 %.
    assert fed("40 02C409 03BF13", decoder) == []
    assert fed("40 04138A01", decoder) == [Reading(1.0, 100883.0, 25.0)]


def test_a_packet_sent_again_counts_once() -> None:
    decoder = BthomeDecoder()
    assert len(fed("40 0009 04138A01", decoder)) == 1
    assert fed("40 0009 04138A01", decoder) == []
    assert len(fed("40 000A 04138A01", decoder)) == 1
    assert len(fed("40 0009 04138A01", decoder)) == 1  # it came round again
    # Without a number every one counts.
    assert len(fed("40 04138A01", decoder)) == len(fed("40 04138A01", decoder)) == 1


@pytest.mark.parametrize(
    ("data", "why"),
    [
        ("", "empty"),
        # The page's encrypted example begins 41.
        ("41 A47266C95F73 00112233 78237214", "only unencrypted BTHome is read"),
        ("20 04138A01", "version 1; expected 2"),
        ("42 04138A01", "no meaning yet"),
        ("40", "no pressure"),
        ("40 0161", "no pressure"),
        ("40 04138A", "ends within its object 0x04"),
        ("40 53", "unknown object 0x53"),
        ("40 5409AA", "ends within its object 0x54"),
        ("40 FF04138A01", "unknown object 0xFF"),
    ],
)
def test_what_cannot_be_read_is_rejected(data: str, why: str) -> None:
    (event,) = fed(data)
    assert isinstance(event, Rejected)
    assert event.raw == bytes.fromhex(data)
    assert why in event.why


def test_what_stands_before_an_unknown_object_is_read_and_the_rest_told() -> None:
    reading, rejected = fed("40 04138A01 FF00")
    assert reading == Reading(1.0, 100883.0)
    assert isinstance(rejected, Rejected)
    reading, rejected = fed("40 020080 04138A01")
    assert reading == Reading(1.0, 100883.0)  # -327.68 C is none
    assert isinstance(rejected, Rejected)


@given(st.lists(st.binary(max_size=30), max_size=4), st.booleans())
def test_any_bytes_give_readings_or_rejections(packets: list[bytes], is_version_2: bool) -> None:
    decoder = BthomeDecoder()
    for packet in packets:
        for event in decoder.feed(b"\x40" * is_version_2 + packet, 1.0):
            assert isinstance(event, Reading | Rejected)
            if isinstance(event, Reading):
                assert 0 <= event.pressure_pa <= 0xFFFFFF
