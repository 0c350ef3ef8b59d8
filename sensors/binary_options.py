"""Options of the addresses ``scpi:``, ``modbus:`` and ``ble:``: how each is checked and read."""

import re
from collections.abc import Callable, Mapping

from sensors.packed_number import PackedFormat, read_form
from sensors.quantity import DEFAULT_UNIT
from sensors.query import read_every_s
from sensors.units import unit_named

Checks = Mapping[str, Callable[[str], object]]

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,2})?")
_SHORT_UUID = "0000{}-0000-1000-8000-00805f9b34fb"  # Bluetooth Core Specification, 3.B.2.5.1


def read_number(text: str) -> float:
    """Read a finite number."""
    if not _NUMBER.fullmatch(text):
        raise ValueError("expected a number such as 0.1")
    return float(text)


def read_scale(text: str) -> float:
    """Read a factor that is not 0."""
    if (scale := read_number(text)) == 0:
        raise ValueError("expected a number other than 0")
    return scale


def read_uuid(text: str) -> str:
    """Read a characteristic's number, of 16 or 128 bits; give the long form."""
    plain = text.casefold().removeprefix("0x")
    if re.fullmatch(r"[0-9a-f]{4}", plain):
        return _SHORT_UUID.format(plain)
    if not re.fullmatch(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}", plain):
        raise ValueError("expected 4 hexadecimal digits such as 2A6D, or a UUID")
    return plain


def read_ble_form(text: str) -> str:
    """Read how a characteristic holds the pressure: ``text``, or a packed number's form."""
    if text == "text":
        return text
    try:
        return read_form(text)
    except ValueError as error:
        raise ValueError(f"{error}, or text") from None


def read_query_text(text: str) -> str:
    """Read a SCPI question; its ``?`` may be left out."""
    if not (text.isascii() and text.isprintable()) or len(text) > 64:
        raise ValueError("expected up to 64 characters such as MEAS:PRES?")
    return text if "?" in text else text + "?"


def whole_number(low: int, high: int) -> Callable[[str], int]:
    """Give a reader of whole numbers in a range."""

    def read(text: str) -> int:
        if not re.fullmatch(r"[0-9]{1,6}", text) or not low <= int(text) <= high:
            raise ValueError(f"expected a whole number from {low} to {high}")
        return int(text)

    return read


def one_of(*words: str) -> Callable[[str], str]:
    """Give a reader of one of some words."""

    def read(text: str) -> str:
        if text not in words:
            raise ValueError(f"expected one of {', '.join(words)}")
        return text

    return read


PACKED: Checks = {"scale": read_scale, "offset": read_number}
SCPI: Checks = {"query": read_query_text, "every": read_every_s}
MODBUS: Checks = {
    "register": whole_number(0, 65535),
    "device": whole_number(0, 255),
    "table": one_of("holding", "input"),
    "type": one_of("u16", "s16", "u32", "s32", "f32"),
    "order": one_of("big", "little"),
    "parity": one_of("none", "even", "odd"),
    "framing": one_of("rtu", "tcp"),
    "every": read_every_s,
    **PACKED,
}
BLE: Checks = {
    "characteristic": read_uuid,
    "form": read_ble_form,
    "every": read_every_s,
    **PACKED,
}


def packed_format(form: str, options: Mapping[str, str]) -> PackedFormat:
    """Give the packed number's format that checked options describe."""
    return PackedFormat(
        form,
        scale=read_scale(options.get("scale", "1")),
        offset=read_number(options.get("offset", "0")),
        unit=unit_named(options.get("unit", DEFAULT_UNIT)) or DEFAULT_UNIT,
    )
