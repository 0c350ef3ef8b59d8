"""What a Bluetooth characteristic's notifications mean: one class a form."""

from typing import Protocol

from sensors.environmental import PressureRange, decode_pressure
from sensors.events import Reading, Rejected
from sensors.packed_number import PackedFormat
from sensors.text_decoder import TextDecoder, TextFormat


class Values(Protocol):
    """Decodes one characteristic; has no input or output of its own."""

    def restart(self) -> None:
        """Begin a new connection."""

    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]:
        """Take one notification, or what was read; give what it says."""

    def end(self, time_s: float) -> list[Rejected]:
        """Say that the connection has ended."""


class PackedValues:
    """Every value is one packed number."""

    def __init__(self, packed: PackedFormat) -> None:
        self._packed = packed

    def restart(self) -> None:
        """Begin a new connection."""

    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]:
        """Decode one value."""
        return [self._packed.decode(data, time_s)]

    def end(self, time_s: float) -> list[Rejected]:
        """Nothing is left open between two values."""
        return []


class TextValues:
    """Lines of text, cut anywhere into notifications (of 20 bytes, mostly)."""

    def __init__(self, text_format: TextFormat) -> None:
        self._decoder = TextDecoder(text_format)

    def restart(self) -> None:
        """Begin a new connection, maybe in mid-line."""
        self._decoder.restart()

    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]:
        """Decode the lines that these bytes end."""
        return self._decoder.feed(data, time_s)

    def end(self, time_s: float) -> list[Rejected]:
        """Reject a line that was not ended."""
        return self._decoder.end(time_s)


class EnvironmentalValues:
    """The standard's pressure, with the temperature and the valid range told by the device."""

    def __init__(self) -> None:
        self.valid: PressureRange | None = None
        self.temperature_c: float | None = None

    def restart(self) -> None:
        """Begin a new connection: an old temperature may no longer be true."""
        self.valid = self.temperature_c = None

    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]:
        """Decode one pressure."""
        return [decode_pressure(data, time_s, self.temperature_c, self.valid)]

    def end(self, time_s: float) -> list[Rejected]:
        """Nothing is left open between two values."""
        return []
