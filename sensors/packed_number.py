"""A number packed in bytes, as registers and characteristics hold it, to a reading."""

import math
import re
import struct
from dataclasses import dataclass

from sensors.calibration import Curve
from sensors.events import Reading, Rejected
from sensors.quantity import DEFAULT_UNIT, Quantity, pressure_from
from sensors.sentence import some

_FORM = re.compile(r"(?:[us](?:8|(?:16|24|32)(?:le|be))|f(?:32|64)(?:le|be))")
_FORMS_TEXT = "u8, s8, u16le, s16be, u24le, u32le, s32be, f32le, f64be and the like"


def read_form(text: str) -> str:
    """Check the name of a form: ``u s f`` for its sign, its bits, ``le`` or ``be``.

    Raises
    ------
    ValueError
        If it is none.
    """
    if not _FORM.fullmatch(text):
        raise ValueError(f"expected one of {_FORMS_TEXT}")
    return text


@dataclass(frozen=True, slots=True)
class PackedFormat:
    """How a pressure is packed: ``number * scale + offset``, in ``unit``.

    Attributes
    ----------
    form
        Such as ``u32le``: unsigned (``u``), signed (``s``) or IEEE 754 (``f``), the number of
        bits, least (``le``) or most significant byte first (``be``).
    scale, offset
        Applied in this order, in ``unit``.
    unit
        A key of ``PA_PER_UNIT``.
    curve
        Turns the scaled number into a pressure, instead of ``unit``.

    Examples
    --------
    >>> PackedFormat("u32le", scale=0.1, unit="pa").decode(bytes.fromhex("A1070000"), 0.0)
    Reading(time_s=0.0, pressure_pa=195.3, temperature_c=None, status='ok')
    """

    form: str
    scale: float = 1.0
    offset: float = 0.0
    unit: str = DEFAULT_UNIT
    curve: Curve | None = None

    def decode(self, data: bytes, time_s: float) -> Reading | Rejected:
        """Give the one reading that ``data`` holds, or why it holds none."""
        try:
            number = unpacked(self.form, data) * self.scale + self.offset
            if not math.isfinite(number):
                raise ValueError("the number is not finite")
            if self.curve is not None:
                pressure_pa, status = self.curve.read(number)
                return Reading(time_s, pressure_pa, None, status)
            # A product of round decimals is shown and kept as such: 1953 x 0.1 = 195.3.
            quantity = Quantity(float(f"{number:.12g}"), "", "ok")
            return Reading(time_s, pressure_from(quantity, "", self.unit))
        except ValueError as error:
            return Rejected(time_s, data, str(error))


def unpacked(form: str, data: bytes) -> float:
    """Give the number that exactly these bytes are.

    Raises
    ------
    ValueError
        If there are more or fewer bytes than the form has.
    """
    bits = int(form[1:].rstrip("lbe"))
    if len(data) * 8 != bits:
        raise ValueError(f"{some(len(data), 'byte')} came; expected {bits // 8} ({form})")
    if form[0] == "f":
        sign = ">" if form.endswith("be") else "<"
        number: float = struct.unpack(f"{sign}{'f' if bits == 32 else 'd'}", data)[0]
        return number
    return int.from_bytes(data, "big" if form.endswith("be") else "little", signed=form[0] == "s")
