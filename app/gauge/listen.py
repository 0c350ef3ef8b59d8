"""Listening to an unknown gauge: raw lines in, a proposal of how to read them out.

No window here: a dialog feeds it what ``sensors.catalogue.open_listener`` emits, shows lines,
proposals with their reasons and the value each gives now, and takes one by :meth:`address`.
"""

from collections import Counter, deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from analysis.reason import Reason
from sensors.address import parse_address, with_options
from sensors.events import Reading, Rejected
from sensors.fields import Fields, split_delimited, split_json, split_pairs
from sensors.line_decoder import NO_END
from sensors.quantity import Quantity, parse_quantity
from sensors.text_decoder import TextDecoder, TextFormat
from sensors.units import PA_PER_UNIT, is_temperature_unit, unit_in_name, unit_named

KEPT_LINES = 50
_FEWEST_LINES = 2
# What a gauge shows of the air outside, weather and height up to some 1500 m included.
_AIR_PA = (80_000.0, 108_000.0)
# The units that the air's number tells apart, most usual first; hPa reads as mbar, mTorr as micron.
_AIR_UNITS = ("micron", "pa", "mbar", "torr", "kpa", "inhg")
_RATES = (9600, 115200, 19200, 38400, 57600, 4800, 2400, 1200)
# A field that counts up by one a line is a number of the line, not a pressure.
_SCORE: Mapping[str, float] = {
    "named-pressure": 8.0,
    "unit-written": 6.0,
    "unit-in-name": 6.0,
    "air-like": 5.0,
    "varies": 1.0,
    "first-field": 0.5,
    "counts-lines": -6.0,
    "room-temperature": -1.0,
    "never-changes": -1.0,
}


@dataclass(frozen=True, slots=True)
class Proposal:
    """One way to read the lines.

    Attributes
    ----------
    field, unit, temperature
        As the address's options; ``None`` leaves the option out.
    pressure_pa, temperature_c
        What the last line gives when read so.
    reasons
        Why: codes with numbers (``app.gauge.listen_phrases`` has the sentences).
    score
        The larger, the likelier; for the order only.
    """

    field: str | None
    unit: str | None
    temperature: str | None
    pressure_pa: float
    temperature_c: float | None
    reasons: tuple[Reason, ...]
    score: float


class Listening:
    """Takes raw lines, keeps the last 50, proposes how to read them.

    Examples
    --------
    >>> listening = Listening("serial:COM3")
    >>> for n in range(3):
    ...     listening.take(Rejected(float(n), b"%d;759%d00;21,5" % (n, n), "heard only"))
    >>> best = listening.proposals()[0]
    >>> best.field, best.unit, listening.address(best)
    ('2', 'micron', 'serial:COM3?field=2&unit=micron')
    """

    def __init__(self, address: str) -> None:
        self._base = address.partition("?")[0]
        self._kept = _options(address)
        self._lines: deque[bytes] = deque(maxlen=KEPT_LINES)
        self._has_end: deque[bool] = deque(maxlen=KEPT_LINES)

    def take(self, event: object) -> None:
        """Take what the listener emits; the link's own events say nothing here."""
        if isinstance(event, Rejected):
            self._lines.append(event.raw)
            self._has_end.append(event.why != NO_END)

    @property
    def lines(self) -> tuple[str, ...]:
        """The last lines as they can be shown, oldest first."""
        return tuple(_shown(raw) for raw in self._lines)

    @property
    def trouble(self) -> Reason | None:
        """What is wrong with all lines together: silence, garbage, or no end to any."""
        if not self._lines:
            return Reason("nothing-heard")
        garbled = sum(not _is_plain(raw) for raw in self._lines)
        if garbled > len(self._lines) / 2:
            return Reason("garbled", {"baud": float(self.next_rate)})
        if sum(self._has_end) < len(self._lines) / 2:
            return Reason("no-line-ends")
        return None

    def proposals(self) -> list[Proposal]:
        """Give the ways to read the lines, likeliest first; each is tried on the real decoder."""
        if self.trouble is not None or len(self._lines) < _FEWEST_LINES:
            return []
        tables = [table for raw in self._lines if (table := _table(raw)) is not None]
        header = next((t for t in tables if t.names is None and _is_header(t)), None)
        rows = [_Row(t, header) for t in tables if t is not header and not _is_header(t)]
        if not rows:
            return []
        width = Counter(len(row.values) for row in rows).most_common(1)[0][0]
        rows = [row for row in rows if len(row.values) == width]
        temperature = next((at for at in range(width) if _is_temperature(rows, at)), None)
        found = [
            proposal
            for at in range(width)
            if at != temperature and (proposal := self._propose(rows, at, temperature)) is not None
        ]
        return sorted(found, key=lambda proposal: -proposal.score)

    def address(self, proposal: Proposal) -> str:
        """Give the address that reads the gauge as proposed."""
        return with_options(
            self._base,
            {
                **self._kept,
                "field": proposal.field,
                "unit": proposal.unit,
                "temperature": proposal.temperature,
            },
        )

    @property
    def rate(self) -> int:
        """The present speed of the line, baud."""
        return int(self._kept.get("baud") or _RATES[0])

    @property
    def next_rate(self) -> int:
        """The speed of the line to try after the present one, baud."""
        at = _RATES.index(self.rate) if self.rate in _RATES else -1
        return _RATES[(at + 1) % len(_RATES)]

    def _propose(self, rows: "list[_Row]", at: int, temperature: int | None) -> Proposal | None:
        numbers = [quantity for row in rows if (quantity := row.quantity(at)) is not None]
        if len(numbers) < max(_FEWEST_LINES, len(rows) / 2):
            return None
        reasons = list(_reasons(rows, at, numbers))
        unit = _unit(rows[-1].name(at), numbers)
        field = rows[-1].name(at) if rows[-1].is_named else str(at + 1)
        by = None if temperature is None else rows[-1].name(temperature) or str(temperature + 1)
        reading = self._read(TextFormat(field, unit, self._kept.get("delimiter"), by))
        if reading is None:
            return None
        if unit is None and not any(r.code.startswith("unit") for r in reasons):
            reasons.append(Reason("unit-not-told"))
        score = sum(_SCORE.get(reason.code, 0.0) for reason in reasons)
        return Proposal(
            field, unit, by, reading.pressure_pa, reading.temperature_c, tuple(reasons), score
        )

    def _read(self, text_format: TextFormat) -> Reading | None:
        """Read the kept lines as a gauge of this format would be read; give the last reading."""
        decoder = TextDecoder(text_format, is_start_whole=True)
        out = decoder.feed(b"\n".join(self._lines) + b"\n", 0.0)
        readings = [event for event in out if isinstance(event, Reading)]
        return readings[-1] if len(readings) >= _FEWEST_LINES else None


class _Row:
    """One line's fields, with the names of its own or of the header."""

    def __init__(self, fields: Fields, header: Fields | None) -> None:
        self.values = fields.values
        self._is_comma = fields.is_decimal_comma
        is_headed = header is not None and len(header.values) == len(fields.values)
        self._names = fields.names or (header.values if header and is_headed else None)
        self.is_named = self._names is not None

    def name(self, at: int) -> str:
        return self._names[at] if self._names else ""

    def quantity(self, at: int) -> Quantity | None:
        try:
            return parse_quantity(self.values[at], is_decimal_comma=self._is_comma)
        except ValueError:
            return None


def _reasons(rows: list[_Row], at: int, numbers: list[Quantity]) -> Iterator[Reason]:
    name = rows[-1].name(at)
    values = [number.value for number in numbers if number.value is not None]
    if name.casefold().startswith(("press", "p_", "vac")) or name.casefold() == "p":
        yield Reason("named-pressure")
    if any(unit_named(number.unit) for number in numbers):
        yield Reason("unit-written")
    elif unit_in_name(name) is not None:
        yield Reason("unit-in-name")
    elif (unit := _unit(name, numbers)) is not None:
        yield Reason("air-like", {"pressure_pa": values[-1] * PA_PER_UNIT[unit]})
    steps = {round(b - a, 9) for a, b in pairwise(values)}
    if len(values) > 2 and steps == {1.0}:
        yield Reason("counts-lines")
    elif steps - {0.0}:
        yield Reason("varies")
    elif len(values) > 4:
        yield Reason("never-changes")
    if at == 0:
        yield Reason("first-field")
    if values and all(10.0 <= value <= 40.0 for value in values):
        yield Reason("room-temperature", {"temperature_c": values[-1]})


def _unit(name: str, numbers: list[Quantity]) -> str | None:
    """Guess the unit where the gauge writes none: the lines are often first heard at air."""
    if any(unit_named(number.unit) for number in numbers) or unit_in_name(name) is not None:
        return None  # the decoder finds it by itself
    values = [number.value for number in numbers if number.value is not None]
    for unit in _AIR_UNITS:
        low, high = (end / PA_PER_UNIT[unit] for end in _AIR_PA)
        if values and all(low <= value <= high for value in values):
            return unit
    return None


def _is_temperature(rows: list[_Row], at: int) -> bool:
    name = rows[-1].name(at).casefold()
    if name.startswith("temp") or name in ("t", "t_c"):
        return rows[-1].quantity(at) is not None
    numbers = [quantity for row in rows if (quantity := row.quantity(at)) is not None]
    written = [number for number in numbers if number.unit and is_temperature_unit(number.unit)]
    return len(written) > len(rows) / 2


def _is_header(fields: Fields) -> bool:
    return fields.names is None and not any(any(map(str.isdecimal, v[:2])) for v in fields.values)


def _table(raw: bytes) -> Fields | None:
    try:
        text = raw.decode()
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    text = text.removeprefix("\ufeff").strip()
    try:
        if not text or text.startswith("#"):
            return None
        if text.startswith("{"):
            return split_json(text)
        if "=" in text:
            return split_pairs(text, None)
        return split_delimited(text, None, learned=None, highest_field=2)
    except ValueError:
        return None


def _options(address: str) -> dict[str, str | None]:
    kept = ("baud", "delimiter", "query", "every")
    return {k: v for k, v in parse_address(address).options.items() if k in kept}


def _is_plain(raw: bytes) -> bool:
    try:
        text = raw.decode()
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
        if sum(character > "~" for character in text) > 0.1 * len(text) + 1:
            return False
    return text.strip().replace("\t", " ").isprintable()


def _shown(raw: bytes) -> str:
    return "".join(chr(b) if 32 <= b < 127 or b == 9 else f"\\x{b:02x}" for b in raw[:200])
