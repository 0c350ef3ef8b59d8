import hashlib
import struct

from hypothesis import given
from hypothesis import strategies as st

from app.jobfile.chain import FIRST, row_hash

parts = st.tuples(
    st.binary(min_size=32, max_size=32),
    st.integers(1, 2**40),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=5),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=5),
    st.binary(max_size=20),
)


def test_the_encoding_is_the_one_that_is_written_down() -> None:
    def part(value: bytes) -> bytes:
        return struct.pack("<Q", len(value)) + value

    fed = part(bytes(32)) + part(struct.pack("<Q", 7)) + part(b"mark") + part(b"now") + part(b"x")
    assert row_hash(FIRST, 7, "mark", "now", b"x") == hashlib.sha256(fed).digest()


@given(parts, parts)
def test_different_rows_have_different_hashes(one: tuple, other: tuple) -> None:  # type: ignore[type-arg]
    assert (row_hash(*one) == row_hash(*other)) == (one == other)


def test_moving_a_letter_from_one_part_to_the_next_is_seen() -> None:
    assert row_hash(FIRST, 1, "mark", "2", b"") != row_hash(FIRST, 1, "mar", "k2", b"")
