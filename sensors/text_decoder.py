"""Text from a gauge to readings: delimited lines, ``name=value`` pairs, JSON lines."""

from collections.abc import Mapping
from dataclasses import dataclass

from sensors.calibration import Curve
from sensors.events import Reading, Rejected, Status
from sensors.fields import Fields, delimiter_named, split_delimited, split_json, split_pairs
from sensors.lines import Line, LineSplitter
from sensors.quantity import Quantity, parse_quantity, pressure_from, temperature_from
from sensors.sentence import one_line, some
from sensors.units import unit_named

_MAY_BE_CUT = "the first line after connecting may be cut at its start"
_CUT_OFF = "the line was cut off at its end when the connection ended"


@dataclass(frozen=True, slots=True)
class TextFormat:
    """What the user told about the gauge's lines; ``None`` is found from the lines themselves.

    Attributes
    ----------
    field
        The pressure's field: a number from 1, or a name (of a header, a pair or a JSON key,
        nested keys joined by dots). ``None``: the one named ``pressure...`` or ``p``, or, where
        fields have no names, the first.
    unit
        Key of ``PA_PER_UNIT``; a unit written beside the number counts before it.
    delimiter
        One character; a blank stands for any run of blanks.
    temperature
        The temperature's field, likewise; ``None``: one named ``temperature_c``, if any.
    curve
        Turns the field's number into a pressure; a unit written beside it is the signal's then.
    echo
        A question that the gauge sends back before its answer: such a line is no reading.
    """

    field: str | None = None
    unit: str | None = None
    delimiter: str | None = None
    temperature: str | None = None
    curve: Curve | None = None
    echo: bytes = b""

    @classmethod
    def told(cls, options: Mapping[str, str], curve: Curve | None) -> "TextFormat":
        """Give the format that an address's checked options tell."""
        unit, delimiter = options.get("unit"), options.get("delimiter")
        return cls(
            field=options.get("field"),
            unit=None if unit is None else unit_named(unit),
            delimiter=None if delimiter is None else delimiter_named(delimiter),
            temperature=options.get("temperature"),
            curve=curve,
        )


class TextDecoder:
    r"""Decode bytes to readings without any input or output of its own.

    Every line yields a reading or a ``Rejected``. Four kinds of line are neither: blank lines,
    comments that begin with ``#``, a header row that names the pressure's field, and the echo
    of a question. A bad temperature field gives both: the reading without it, and a
    ``Rejected`` that says why.

    A connection made in the middle of a line would show ``523`` as ``23``. So the first line is
    rejected unless it is known to be whole: the stream is known to begin with a line
    (``restart(is_start_whole=True)``), nothing came for a while after connecting
    (``mark_quiet``), or the line is a JSON object, which no cut leaves well formed. The last
    line without its end is rejected by ``end``.

    Parameters
    ----------
    text_format
        What is known about the lines.
    is_start_whole
        Whether the stream is known to begin at the start of a line.

    Examples
    --------
    >>> decoder = TextDecoder(TextFormat(field="2", unit="pa"), is_start_whole=True)
    >>> decoder.feed(b"1;66,5\r\n2;6", 0.0)
    [Reading(time_s=0.0, pressure_pa=66.5, temperature_c=None, status='ok')]
    """

    def __init__(
        self, text_format: TextFormat | None = None, *, is_start_whole: bool = False
    ) -> None:
        self._format = text_format or TextFormat()
        self._splitter = LineSplitter()
        self._is_at_line_start = is_start_whole
        self._has_bytes = False
        # Kept over a reconnection: a gauge that names its columns does so at its power-up only.
        self._header: tuple[str, ...] | None = None
        self._learned: str | None = None
        self._echo = self._format.echo.decode("ascii").strip() or None
        numbers = [self._format.field, self._format.temperature]
        self._highest_field = max([1, *(int(n) for n in numbers if n and n.isdecimal())])

    def restart(self, *, is_start_whole: bool = False) -> None:
        """Begin a new connection; what the header told is kept."""
        self._splitter.take_rest()
        self._is_at_line_start = is_start_whole
        self._has_bytes = False

    def mark_quiet(self) -> None:
        """Say that nothing came for much longer than the bytes of one line lie apart."""
        if not self._has_bytes:
            self._is_at_line_start = True

    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]:
        """Take bytes that came at ``time_s``; give what the lines they complete say."""
        self._has_bytes = self._has_bytes or bool(data)
        out: list[Reading | Rejected] = []
        for line in self._splitter.feed(data):
            out.extend(self._decode(line, time_s))
            self._is_at_line_start = self._is_at_line_start or line.has_end
        return out

    def end(self, time_s: float) -> list[Rejected]:
        """Say that the connection has ended; a line not ended is rejected."""
        rest = self._splitter.take_rest()
        return [Rejected(time_s, rest, _CUT_OFF)] if rest else []

    def _decode(self, line: Line, time_s: float) -> list[Reading | Rejected]:
        if line.is_too_long:
            return [Rejected(time_s, line.raw, "the line is too long to be a gauge's")]
        try:
            text = _text_from(line.raw)
            if not text or text.startswith("#") or text == self._echo:
                return []
            if not self._is_at_line_start and not text.startswith("{"):
                raise ValueError(_MAY_BE_CUT)
            fields = self._split(text)
            if self._learn_header(fields):
                return []
            return self._reading(line.raw, fields, time_s)
        except ValueError as error:
            return [Rejected(time_s, line.raw, one_line(str(error)))]

    def _split(self, text: str) -> Fields:
        if text.startswith("{"):
            return split_json(text)
        if "=" in text:
            return split_pairs(text, self._format.delimiter)
        return split_delimited(
            text,
            self._format.delimiter,
            learned=self._learned,
            highest_field=self._highest_field,
        )

    def _learn_header(self, fields: Fields) -> bool:
        """Take a header row; it is one when it names the pressure and holds no number."""
        if fields.names is not None or any(_starts_as_number(v) for v in fields.values):
            return False
        wanted = (self._format.field or "").casefold()
        names = [value.casefold() for value in fields.values]
        is_wanted = bool(wanted) and wanted in names  # an empty field is nobody's name
        if not is_wanted and not any(name.startswith("pressure") for name in names):
            return False
        self._header = fields.values
        self._learned = fields.delimiter
        return True

    def _reading(self, raw: bytes, fields: Fields, time_s: float) -> list[Reading | Rejected]:
        named = self._named(fields)
        at = _index_of_pressure(self._format.field, named)
        name = named.names[at] if named.names else ""
        comma = fields.is_decimal_comma
        quantity = parse_quantity(named.values[at], is_decimal_comma=comma)
        pressure_pa, status = self._pressure(quantity, name)
        temperature_c, why = self._temperature(named)
        if len(fields.values) > 1:
            self._learned = fields.delimiter
        out: list[Reading | Rejected] = [Reading(time_s, pressure_pa, temperature_c, status)]
        if why is not None:
            out.append(Rejected(time_s, raw, one_line(f"temperature: {why}")))
        return out

    def _pressure(self, quantity: Quantity, name: str) -> tuple[float, Status]:
        curve = self._format.curve
        if curve is None or quantity.value is None:
            return pressure_from(quantity, name, self._format.unit), quantity.status
        pressure_pa, status = curve.read(quantity.value)
        return pressure_pa, status if quantity.status == "ok" else quantity.status

    def _named(self, fields: Fields) -> Fields:
        if fields.names is not None or self._header is None:
            return fields
        if len(fields.values) != len(self._header):
            raise ValueError(
                f"the line has {some(len(fields.values), 'field')}; "
                f"expected {len(self._header)} as in the header"
            )
        return Fields(fields.values, self._header, fields.is_decimal_comma, fields.delimiter)

    def _temperature(self, fields: Fields) -> tuple[float | None, str | None]:
        wanted = self._format.temperature
        try:
            if wanted is None:
                names = [name.casefold() for name in fields.names or ()]
                if "temperature_c" not in names:
                    return None, None
                wanted = "temperature_c"
            text = fields.values[_index_of(wanted, fields)]
            if not text:
                return None, None
            quantity = parse_quantity(text, is_decimal_comma=fields.is_decimal_comma)
            return temperature_from(quantity), None
        except ValueError as error:
            return None, str(error)


def _text_from(raw: bytes) -> str:
    try:
        text = raw.decode()
    except UnicodeDecodeError:
        text = raw.decode("latin-1")  # one-byte micro and degree signs
    text = text.removeprefix("\ufeff").strip(" \t")
    if not text.replace("\t", " ").isprintable():
        raise ValueError("the line is no plain text: is the baud rate right?")
    return text


def _starts_as_number(text: str) -> bool:
    return text[:1].isdecimal() or (text[:1] in tuple("+-.,<>") and text[1:2].isdecimal())


def _index_of_pressure(wanted: str | None, fields: Fields) -> int:
    if wanted is not None:
        return _index_of(wanted, fields)
    if fields.names is None:
        return 0
    names = [name.casefold() for name in fields.names]
    found = [at for at, name in enumerate(names) if name.startswith("pressure")]
    found = found or [at for at, name in enumerate(names) if name == "p"]
    if len(found) != 1:
        raise ValueError(
            f"{len(found)} fields are named pressure; expected the option field= to name one"
        )
    return found[0]


def _index_of(wanted: str, fields: Fields) -> int:
    names = [name.casefold() for name in fields.names or ()]
    if wanted.casefold() in names:
        return names.index(wanted.casefold())
    if not wanted.isdecimal():
        if fields.names is None:
            raise ValueError(f"no header has named the field '{wanted}' yet")
        raise ValueError(f"no field is named '{wanted}'")
    if not 1 <= int(wanted) <= len(fields.values):
        raise ValueError(f"there is no field {wanted}: the line has {len(fields.values)}")
    return int(wanted) - 1
