"""Where a Modbus device holds its pressure, and registers to readings; no input or output here."""

import struct
from collections.abc import Sequence
from dataclasses import dataclass, field

from sensors.events import Reading, Rejected
from sensors.packed_number import PackedFormat

_EXCEPTIONS = {  # "Modbus application protocol" 1.1b3, section 7
    1: "the function is not supported; expected table=holding or table=input",
    2: "no such register",
    3: "an illegal value in the request",
    4: "a failure of the device",
    6: "busy",
}


@dataclass(frozen=True, slots=True)
class Registers:
    """Where the pressure is, and how it is packed.

    Attributes
    ----------
    device
        The unit identifier, 0 to 255.
    register
        The address on the wire, from 0: what many manuals write as 40001 or 30001 is 0 here.
    table
        ``holding`` or ``input``.
    word_order
        ``big``: the register with the high word comes first; ``little``: the low one.
    packed
        The number's form (16 or 32 bits, ``be``: a register's high byte goes first), scale and
        unit.
    """

    register: int
    device: int = 1
    table: str = "holding"
    word_order: str = "big"
    packed: PackedFormat = field(default_factory=lambda: PackedFormat("u16be"))

    @property
    def words(self) -> str:
        """What is read, for the user."""
        return f"Modbus device {self.device}, {self.table} register {self.register}"

    @property
    def count(self) -> int:
        """How many registers the number takes."""
        return 2 if "32" in self.packed.form else 1

    def decode(self, words: Sequence[int], time_s: float) -> Reading | Rejected:
        """Give the reading that these registers hold, or why they hold none."""
        in_order = words if self.word_order == "big" else words[::-1]
        return self.packed.decode(struct.pack(f">{len(words)}H", *in_order), time_s)


def refused(code: int, time_s: float) -> Rejected:
    """Say what a device's exception means."""
    what = _EXCEPTIONS.get(code, "see the device's manual")
    return Rejected(time_s, bytes([code]), f"the device answers exception {code}: {what}")
