"""The chain of hashes that makes a later change of a job visible.

``hash = SHA-256(previous hash, sequence, kind, UTC, payload)`` where every part is written as its
length in bytes (8 bytes, little-endian, unsigned) followed by the bytes themselves: the previous
hash as its 32 bytes (32 zero bytes before the first row), the sequence as 8 bytes little-endian
unsigned, kind and UTC in UTF-8, the payload as stored. The lengths make the encoding unambiguous:
no two different rows feed SHA-256 the same bytes.

The chain shows that nothing before the last hash was altered, left out or put in between. That no
rows were cut off the end can only be seen against a last hash kept elsewhere: the report prints it.
"""

import hashlib

FIRST = bytes(32)
"""What stands for the previous hash of row 1."""


def row_hash(previous: bytes, sequence: int, kind: str, utc: str, payload: bytes) -> bytes:
    """Hash one row onto the row before it.

    Returns
    -------
    bytes
        32 bytes, SHA-256 (FIPS 180-4).

    Examples
    --------
    >>> row_hash(FIRST, 1, "mark", "2030-01-01T00:00:00.000Z", b"{}").hex()[:16]
    '625918a7f32f897d'
    """
    digest = hashlib.sha256()
    parts = (previous, sequence.to_bytes(8, "little"), kind.encode(), utc.encode(), payload)
    for part in parts:
        digest.update(len(part).to_bytes(8, "little"))
        digest.update(part)
    return digest.digest()
