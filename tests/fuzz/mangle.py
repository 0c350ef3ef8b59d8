"""Bytes that were right once: flipped, cut, doubled, swapped, with foreign pieces put in."""

import random
from collections.abc import Iterator

from hypothesis import strategies as st

PIECES = (
    b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"\r", b"\n", b"\r\n", b"\t", b" ", b",", b";", b'"',
    b"'", b"=", b"#", b"[", b"]", b"{", b"}", b"-", b"1e999", b"-0", b"nan", b"inf", b"9" * 400,
    b"9" * 5000, b"1_0", b"\xd9\xa3", b"\xed\xa0\x80", b"\x1b[2J", b"[" * 3000, b"{a=" * 500,
    b"0x10", b"\xe2\x80\xae", b"true", b"null", b"../", b"%0a", b"\\u0000", b"A" * 5000,
)  # fmt: skip
_VARIANTS = 20
_LONGEST = 40_000  # bytes: doubling again and again would only test the patience

Seeded = tuple[bytes, int]


def seeded(data: st.SearchStrategy[bytes]) -> st.SearchStrategy[Seeded]:
    """Give bytes together with a number from which their variants follow."""
    return st.tuples(data, st.integers(0, 2**32))


def variants(made: Seeded) -> Iterator[bytes]:
    """Yield the bytes as they are, then changed in a few places, each time anew."""
    data, number = made
    yield data
    chance = random.Random(number)
    for _ in range(_VARIANTS):
        yield mangled(data, chance)


def mangled(data: bytes, chance: random.Random) -> bytes:
    """Change bytes in one to five places."""
    for _ in range(chance.randint(1, 5)):
        low, high = sorted((chance.randint(0, len(data)), chance.randint(0, len(data))))
        piece = chance.choice(PIECES) if chance.random() < 0.5 else chance.randbytes(3)
        match chance.randrange(8):
            case 0 | 1 if low < len(data):
                flipped = data[low] ^ (1 << chance.randrange(8))
                data = data[:low] + bytes([flipped]) + data[low + 1 :]
            case 2:
                data = data[:low] + piece + data[low + len(piece) :]
            case 3:
                data = data[:low] + data[min(high, low + 64) :]
            case 4:
                data = data[:high] + data[low:high] + data[high:]
            case 5:
                middle = (low + high) // 2
                data = data[:low] + data[middle:high] + data[low:middle] + data[high:]
            case 6:
                data = data[:low] + piece + data[low:]
            case _:
                data = data[: max(low, high - 3)]
        data = data[:_LONGEST]
    return data
