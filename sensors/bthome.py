"""BTHome v2 broadcasts to readings (format as published at bthome.io/format).

Unencrypted ones only. Its pressure has steps of 0.01 hPa = 1 Pa (7.5 micron): coarse for the
end of an evacuation.
"""

from sensors.events import Reading, Rejected
from sensors.packed_number import unpacked
from sensors.units import celsius_from

SERVICE = "0000fcd2-0000-1000-8000-00805f9b34fb"
ENCRYPTED = "the broadcast is encrypted; only unencrypted BTHome is read"

_PACKET_ID, _TEMPERATURE, _PRESSURE, _COARSE_TEMPERATURE = 0x00, 0x02, 0x04, 0x45
_TEXT, _RAW = 0x53, 0x54  # these say their own length
_WHOLE_TEMPERATURE, _THIRD_TEMPERATURE = 0x57, 0x58
# Degrees Celsius a step, and the form, of each object that is a temperature.
_TEMPERATURES = {
    _TEMPERATURE: (0.01, "s16le"),
    _COARSE_TEMPERATURE: (0.1, "s16le"),
    _WHOLE_TEMPERATURE: (1.0, "s8"),
    _THIRD_TEMPERATURE: (0.35, "s8"),
}
# Bytes of each object's value, from the format page's tables (0x53 to 0x63 from memory): an
# object of unknown length cannot be passed over.
_LENGTHS = {
    **dict.fromkeys([0x00, 0x01, 0x09, *range(0x0F, 0x12), *range(0x15, 0x30)], 1),
    **dict.fromkeys([0x3A, 0x46, 0x57, 0x58, 0x59, 0x60], 1),
    **dict.fromkeys([0x02, 0x03, 0x06, 0x07, 0x08, 0x0C, 0x0D, 0x0E, 0x12, 0x13, 0x14], 2),
    **dict.fromkeys([0x3C, 0x3D, 0x3F, 0x40, 0x41, 0x43, 0x44, 0x45, 0x47, 0x48, 0x49], 2),
    **dict.fromkeys([0x4A, 0x51, 0x52, 0x56, 0x5A, 0x5D, 0x5E, 0x5F, 0x61, 0xF0], 2),
    **dict.fromkeys([0x04, 0x05, 0x0A, 0x0B, 0x42, 0x4B, 0xF2], 3),
    **dict.fromkeys([0x3E, 0x4C, 0x4D, 0x4E, 0x4F, 0x50, 0x55, 0x5B, 0x5C], 4),
    **dict.fromkeys([0x62, 0x63, 0xF1], 4),
}


class BthomeDecoder:
    """Decode the service data of one device's broadcasts, without input or output of its own.

    A packet is sent several times; one whose packet number equals the last one's gives
    nothing. Nor does a packet with a temperature and no pressure: the temperature goes with the
    readings that follow. Every other gives a reading or a ``Rejected``, or both.

    Examples
    --------
    >>> BthomeDecoder().feed(bytes.fromhex("40 04138A01"), 0.0)
    [Reading(time_s=0.0, pressure_pa=100883.0, temperature_c=None, status='ok')]
    """

    def __init__(self) -> None:
        self._packet: int | None = None
        self._temperature_c: float | None = None

    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]:
        """Take the service data of one broadcast."""
        if why := _why_not_read(data):
            return [Rejected(time_s, data, why)]
        objects, why = _objects(data[1:])
        if (packet := objects.get(_PACKET_ID)) is not None:
            if packet[0] == self._packet:
                return []
            self._packet = packet[0]
        has_temperature = False
        for number, (step_c, form) in _TEMPERATURES.items():
            if number not in objects:
                continue
            has_temperature = True
            try:
                self._temperature_c = celsius_from(
                    round(unpacked(form, objects[number]) * step_c, 2), ""
                )
            except ValueError as error:
                self._temperature_c = None
                why = why or str(error)
            break
        out: list[Reading | Rejected] = []
        if _PRESSURE in objects:
            pressure_pa = float(unpacked("u24le", objects[_PRESSURE]))  # 0.01 hPa is 1 Pa
            out.append(Reading(time_s, pressure_pa, self._temperature_c))
        elif not has_temperature:
            why = why or "the broadcast holds no pressure"
        if why:
            out.append(Rejected(time_s, data, why))
        return out


def _why_not_read(data: bytes) -> str | None:
    if not data:
        return "the broadcast is empty"
    if data[0] >> 5 != 2:
        return f"the broadcast is BTHome version {data[0] >> 5}; expected 2"
    if data[0] & 1:
        return ENCRYPTED
    # Bit 2 tells a device that sends only when triggered. The others are "reserved for future
    # use": what follows may then be no list of objects.
    if data[0] & 0b11010:
        return "the broadcast's first byte has bits set that have no meaning yet"
    return None


def _objects(data: bytes) -> tuple[dict[int, bytes], str]:
    """Give the first object of each number, and why the rest could not be read ("" if it could).

    Objects stand in the order of their numbers, so that a receiver can read those that it knows
    before it meets one that it does not.
    """
    objects: dict[int, bytes] = {}
    at = 0
    while at < len(data):
        number = data[at]
        at += 1
        if number in (_TEXT, _RAW) and at < len(data):
            length = 1 + data[at]
        elif number in _LENGTHS:
            length = _LENGTHS[number]
        else:
            return objects, f"the broadcast holds an unknown object 0x{number:02X}"
        if at + length > len(data):
            return objects, f"the broadcast ends within its object 0x{number:02X}"
        objects.setdefault(number, data[at : at + length])
        at += length
    return objects, ""
