"""Bluetooth's Environmental Sensing Service: bytes of its characteristics to quantities.

Formats: Bluetooth SIG, GATT Specification Supplement, and Environmental Sensing Service 1.0.
"""

import struct
from dataclasses import dataclass

from sensors.events import Reading, Rejected, Status
from sensors.packed_number import unpacked
from sensors.units import celsius_from

SERVICE = "0000181a-0000-1000-8000-00805f9b34fb"
PRESSURE = "00002a6d-0000-1000-8000-00805f9b34fb"
TEMPERATURE = "00002a6e-0000-1000-8000-00805f9b34fb"
BATTERY_LEVEL = "00002a19-0000-1000-8000-00805f9b34fb"
# Device Information Service 1.1: manufacturer, model, serial number, firmware; UTF-8 each.
IDENTITY = tuple(f"0000{n}-0000-1000-8000-00805f9b34fb" for n in ("2a29", "2a24", "2a25", "2a26"))
VALID_RANGE = "00002906-0000-1000-8000-00805f9b34fb"
MEASUREMENT = "0000290c-0000-1000-8000-00805f9b34fb"

_PA_PER_STEP = 10.0  # uint32, 0.1 Pa: divided by, so that 1953 is 195.3 and not 195.30000000000001
_UNKNOWN_TEMPERATURE = b"\x00\x80"  # 0x8000 is "value is not known"


@dataclass(frozen=True, slots=True)
class PressureRange:
    """The range inside which the device's pressures are valid, Pa, both ends included."""

    low_pa: float = 0.0
    high_pa: float = float("inf")


def decode_pressure(
    data: bytes,
    time_s: float,
    temperature_c: float | None = None,
    valid: PressureRange | None = None,
) -> Reading | Rejected:
    """Give the reading of characteristic 0x2A6D; outside ``valid`` it is the range's end."""
    try:
        pressure_pa = unpacked("u32le", data) / _PA_PER_STEP
    except ValueError as error:
        return Rejected(time_s, data, str(error))
    status: Status = "ok"
    if valid is not None and pressure_pa > valid.high_pa:
        pressure_pa, status = valid.high_pa, "over-range"
    elif valid is not None and pressure_pa < valid.low_pa:
        pressure_pa, status = valid.low_pa, "under-range"
    return Reading(time_s, pressure_pa, temperature_c, status)


def decode_temperature(data: bytes) -> float | None:
    """Give the degrees Celsius of characteristic 0x2A6E, or ``None`` for "not known".

    Raises
    ------
    ValueError
        If the length is wrong or the value lies below absolute zero.
    """
    if data == _UNKNOWN_TEMPERATURE:
        return None
    return celsius_from(unpacked("s16le", data) / 100.0, "")


def decode_battery(data: bytes) -> int | None:
    """Give the percentage of characteristic 0x2A19, or ``None`` if it is none."""
    return data[0] if len(data) == 1 and data[0] <= 100 else None


def decode_name(data: bytes) -> str:
    """Give a text of the Device Information Service, as far as it can be shown."""
    return "".join(filter(str.isprintable, data.decode("utf-8", "replace"))).strip()[:40]


def decode_valid_range(data: bytes) -> PressureRange | None:
    """Give what a pressure's descriptor 0x2906 says: lower, then upper end, as the pressure is."""
    if len(data) != 8:
        return None
    low, high = struct.unpack("<II", data)
    return PressureRange(low / _PA_PER_STEP, high / _PA_PER_STEP) if low < high else None


def decode_update_interval_s(data: bytes) -> float | None:
    """Give the seconds between two updates in descriptor 0x290C, or ``None`` if not told.

    Its fields: flags u16, sampling function u8, measurement period u24, update interval u24,
    application u8, uncertainty u8.
    """
    if len(data) != 11:
        return None
    interval_s = unpacked("u24le", data[6:9])
    return interval_s or None
