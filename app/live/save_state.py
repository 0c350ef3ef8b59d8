"""Whether the record is safe on the disk, as the terminal and the window tell it."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class SaveState:
    """Whether the record is safe on the disk.

    Attributes
    ----------
    is_saving
        All that came up to about a second ago is in the file.
    since_utc
        Since when this is so: not saved since then, when ``is_saving`` is false.
    why
        What the disk says, one clear sentence, or ``None``.
    waiting
        Readings and other items that are only in memory.
    saved_until_s
        Job time of the last reading or event that is in the file, or ``None`` before the first.
    last_hash
        The chain's last hash in the file.
    """

    is_saving: bool
    since_utc: datetime
    why: str | None
    waiting: int
    saved_until_s: float | None
    last_hash: bytes
