import math
import struct

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.jobfile.errors import JobFileError
from app.jobfile.readings import STATUSES, decode_readings, encode_readings, why_not
from sensors.csv_careful import LARGEST_TIME_S
from sensors.events import Reading

finite = st.floats(allow_nan=False, allow_infinity=False)
readings = st.builds(
    Reading,
    st.floats(-LARGEST_TIME_S, LARGEST_TIME_S),
    st.floats(0, allow_infinity=False),
    st.none() | finite,
    st.sampled_from(STATUSES),
)
blocks = st.lists(readings, min_size=1, max_size=50).map(
    lambda block: sorted(block, key=lambda reading: reading.time_s)
)


def bits(number: float) -> bytes:
    return struct.pack("<d", number)


@given(blocks)
def test_readings_come_back_bit_for_bit(block: list[Reading]) -> None:
    back = decode_readings(encode_readings(block))
    assert len(back) == len(block)
    for index, reading in enumerate(block):
        found = back[index]
        assert bits(found.time_s) == bits(reading.time_s)
        assert bits(found.pressure_pa) == bits(reading.pressure_pa)
        assert found.temperature_c == reading.temperature_c
        assert found.status == reading.status


@given(blocks, blocks)
def test_blocks_can_be_joined(one: list[Reading], other: list[Reading]) -> None:
    both = sorted(one + other, key=lambda reading: reading.time_s)
    payload = encode_readings(both[:5]) + encode_readings(both[5:])
    assert np.array_equal(
        decode_readings(payload).time_s, [reading.time_s for reading in both], equal_nan=False
    )


def test_the_layout_is_little_endian_float64() -> None:
    payload = encode_readings([Reading(1.5, 20.0, None, "over-range")])
    assert payload[:16] == bytes.fromhex("000000000000f83f 0000000000003440")
    assert math.isnan(struct.unpack_from("<d", payload, 16)[0])
    assert payload[24:] == bytes.fromhex("000000000000f03f")


@pytest.mark.parametrize(
    ("block", "word"),
    [
        (b"", "multiple"),
        (bytes(31), "multiple"),
        (struct.pack("<8d", 2, 1, 0, 0, 1, 1, 0, 0), "goes back"),
        (struct.pack("<4d", math.nan, 1, 0, 0), "time"),
        (struct.pack("<4d", 0, -1, 0, 0), "pressure"),
        (struct.pack("<4d", 0, math.inf, 0, 0), "pressure"),
        (struct.pack("<4d", 0, 1, math.inf, 0), "temperature"),
        (struct.pack("<4d", 0, 1, 0, 0.5), "status"),
        (struct.pack("<4d", 0, 1, 0, 3), "status"),
        (struct.pack("<4d", 0, 1, 0, math.nan), "status"),
    ],
)
def test_a_block_that_is_not_as_it_should_be_is_refused(block: bytes, word: str) -> None:
    with pytest.raises(JobFileError, match=word):
        decode_readings(block)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(payload: bytes) -> None:
    try:
        found = decode_readings(payload)
    except JobFileError:
        return
    again = encode_readings(found[index] for index in range(len(found)))
    assert decode_readings(again).time_s.tobytes() == found.time_s.tobytes()


@pytest.mark.parametrize(
    ("reading", "why"),
    [
        (Reading(1.0, 5.0), None),
        (Reading(1.0, 0.0, -40.0), None),
        (Reading(0.9, 5.0), "back"),
        (Reading(math.nan, 5.0), "time"),
        (Reading(2.0, -0.1), "pressure"),
        (Reading(2.0, math.nan), "pressure"),
        (Reading(2.0, 5.0, math.inf), "temperature"),
        (Reading(2.0, 5.0, None, "odd"), "status"),  # type: ignore[arg-type]
    ],
)
def test_what_could_not_be_read_back_is_not_written(reading: Reading, why: str | None) -> None:
    found = why_not(reading, 1.0)
    assert (found is None) if why is None else (found is not None and why in found)
