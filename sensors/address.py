"""Addresses of sensors: one string that names a sensor and how to read it."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from urllib.parse import quote, unquote

from sensors import binary_options
from sensors.correction import read_day, read_gain, read_zero_pa
from sensors.events import SensorError
from sensors.fields import delimiter_named
from sensors.query import read_every_s, read_query
from sensors.sentence import quoted
from sensors.units import PA_PER_UNIT, unit_named

_OPTION = re.compile(r"([A-Za-z_]\w*)=(.*)", re.DOTALL)
_HOST_PORT = re.compile(r"(?P<host>\[[^\[\]]+\]|[^\[\]/\\:]+):(?P<port>[0-9]{1,5})")
_RFC2217 = "rfc2217://"


@dataclass(frozen=True, slots=True)
class Address:
    """A parsed address. ``options`` holds the decoded texts, already checked."""

    kind: str
    target: str
    options: Mapping[str, str]


def read_whole_number(text: str) -> int:
    """Read a whole number >= 0."""
    if not re.fullmatch(r"[0-9]{1,18}", text):
        raise ValueError("expected a whole number")
    return int(text)


def read_baud(text: str) -> int:
    """Read a baud rate."""
    if not re.fullmatch(r"[0-9]{2,7}", text) or int(text) < 50:
        raise ValueError("expected a whole number of baud such as 9600")
    return int(text)


def read_rate_hz(text: str) -> float:
    """Read a number of readings a second, > 0."""
    if not re.fullmatch(r"[0-9]*\.?[0-9]+", text) or float(text) <= 0:
        raise ValueError("expected a number of readings a second above 0")
    return float(text)


def read_speed(text: str) -> float:
    """Read a playing speed; 0 (or ``max``) means as fast as possible."""
    if text in ("max", "inf"):
        return 0.0
    if not re.fullmatch(r"[0-9]*\.?[0-9]+", text):
        raise ValueError("expected a number such as 10, or max")
    return float(text)


def _check_field(text: str) -> None:
    if re.fullmatch(r"[+-]?[0-9]+", text) and int(text) < 1:
        raise ValueError("expected a field number from 1, or a field's name")


def _check_unit(text: str) -> None:
    if unit_named(text) is None:
        raise ValueError(f"expected one of {', '.join(PA_PER_UNIT)}")


def _check_curve(text: str) -> None:
    if not re.fullmatch(r"[\w][\w .-]{0,39}", text):
        raise ValueError("expected the name of a curve kept with the gauge's profile")


def _check_place(text: str) -> None:
    if text not in ("far", "pump"):
        raise ValueError("expected far or pump")


_TEXT: dict[str, Callable[[str], object]] = {
    "field": _check_field,
    "unit": _check_unit,
    "delimiter": delimiter_named,
    "temperature": _check_field,
    "query": read_query,
    "every": read_every_s,
    "curve": _check_curve,
}
_CHECKED: dict[str, Callable[[str], object]] = {
    "zero_pa": read_zero_pa,
    "gain": read_gain,
    "checked": read_day,
}
_FIELDS = {name: _TEXT[name] for name in ("field", "unit", "temperature", "curve")}
_CHECKS: dict[str, dict[str, Callable[[str], object]]] = {
    "sim": {
        "seed": read_whole_number,
        "speed": read_speed,
        "rate": read_rate_hz,
        "at": _check_place,
    },
    "replay": {"speed": read_speed},
    "serial": {"baud": read_baud, **_TEXT, **_CHECKED},
    "tcp": {**_TEXT, **_CHECKED},
    "scpi": {"baud": read_baud, **_FIELDS, **binary_options.SCPI, **_CHECKED},
    "modbus": {
        "baud": read_baud,
        "unit": _check_unit,
        "curve": _check_curve,
        **binary_options.MODBUS,
        **_CHECKED,
    },
    "ble": {**_FIELDS, "delimiter": delimiter_named, **binary_options.BLE, **_CHECKED},
    "bthome": dict(_CHECKED),
}
# Kinds whose target holds no ``?``: a question asked of the gauge may.
_FIRST_MARK = frozenset({"scpi"})
_TARGETS = {
    "sim": "a scenario's name",
    "replay": "a file's path",
    "serial": "a device, HOST:NUMBER or rfc2217://HOST:NUMBER",
    "tcp": "HOST:PORT",
    "scpi": "a device, HOST:NUMBER or rfc2217://HOST:NUMBER",
    "modbus": "a device, HOST:NUMBER or rfc2217://HOST:NUMBER",
    "ble": "a name or an address",
    "bthome": "an address",
}


def parse_address(text: str) -> Address:
    """Take an address apart: kind up to the first ``:``, options after the last ``?``.

    What follows the last ``?`` counts as options when it is empty or made of ``name=value``
    joined by ``&``; otherwise the ``?`` belongs to the target, as in ``replay:what?.csv``. A
    target that ends like options can be closed by one more ``?``. Only of ``scpi:`` it is the
    first ``?``, since a question there ends with one. Options' values are
    percent-decoded; the target is taken as it stands, so any path works unchanged.

    Raises
    ------
    SensorError
        Final, with one sentence: unknown kind or option, missing target, bad value.

    Examples
    --------
    >>> parse_address("serial:/dev/ttyUSB0?baud=9600&unit=micron").target
    '/dev/ttyUSB0'
    >>> parse_address("replay:C:/data/what?.csv").target
    'C:/data/what?.csv'
    """
    text = text.strip()
    kind, colon, rest = text.partition(":")
    if not colon or kind not in _CHECKS:
        raise _wrong(text, f"expected one of {', '.join(f'{k}:' for k in _CHECKS)} at the start")
    target, options = _split_options(text, kind, rest)
    if not target:
        raise _wrong(text, f"expected {_TARGETS.get(kind, 'a target')} after '{kind}:'")
    if "\0" in target:
        raise _wrong(text, "a target cannot contain a zero byte")
    if kind == "tcp":
        host_and_port(target)
    if kind in ("serial", "scpi", "modbus") and target.startswith(_RFC2217):
        host_and_port(target.removeprefix(_RFC2217))
    if kind in ("serial", "tcp") and "?" in target:
        raise _wrong(text, "a ? within an option's value is written %3F, and a return %0D")
    if "every" in options and "query" not in options and kind in ("serial", "tcp"):
        raise _wrong(text, "the option every needs the option query: what to ask")
    return Address(kind, target, MappingProxyType(options))


def with_options(address: str, changes: Mapping[str, str | None]) -> str:
    """Give an address with some options changed or, by ``None``, left out.

    Raises
    ------
    SensorError
        Final, if the address is wrong or would be.

    Examples
    --------
    >>> with_options("serial:COM3?unit=pa&field=2", {"field": None, "query": "P?"})
    'serial:COM3?unit=pa&query=P%3F'
    """
    parsed = parse_address(address)
    told = {**parsed.options, **changes}
    pairs = [f"{name}={quote(v, safe='/ ;,:')}" for name, v in told.items() if v is not None]
    changed = f"{parsed.kind}:{parsed.target}" + (f"?{'&'.join(pairs)}" if pairs else "")
    parse_address(changed)
    return changed


def host_and_port(target: str) -> tuple[str, int]:
    """Take ``HOST:PORT`` apart (an IPv6 host in square brackets).

    Raises
    ------
    SensorError
        Final, if it is no host and port number from 1 to 65535.
    """
    match = _HOST_PORT.fullmatch(target)
    if match is None or not 1 <= int(match["port"]) <= 65535:
        raise _wrong(target, "expected HOST:PORT with a port number from 1 to 65535")
    return match["host"].strip("[]"), int(match["port"])


def is_host_and_port(target: str) -> bool:
    """Tell a network target from a device's name or path."""
    return _HOST_PORT.fullmatch(target) is not None


def _split_options(text: str, kind: str, rest: str) -> tuple[str, dict[str, str]]:
    if kind in _FIRST_MARK:
        target, mark, tail = rest.partition("?")
    else:
        target, mark, tail = rest.rpartition("?")
    if not mark:
        return rest, {}
    pieces = [_OPTION.fullmatch(piece) for piece in tail.split("&")] if tail else []
    if not all(pieces):
        # A known option with its value forgotten is a slip, not a part of a path.
        if tail.partition("=")[0].partition("&")[0] in _CHECKS[kind]:
            raise _wrong(text, "expected every option as name=value, joined by &")
        return rest, {}
    options: dict[str, str] = {}
    for piece in pieces:
        assert piece is not None
        name, value = piece[1], unquote(piece[2])
        if name in options:
            raise _wrong(text, f"the option {quoted(name)} is given twice, expected once")
        _check_option(text, kind, name, value)
        options[name] = value
    return target, options


def _check_option(text: str, kind: str, name: str, value: str) -> None:
    checks = _CHECKS[kind]
    if name not in checks:
        known = ", ".join(checks) or "none"
        raise _wrong(text, f"{kind}: has no option '{quoted(name)}', expected {known}")
    if not value:
        raise _wrong(text, f"the option {name} has no value")
    try:
        checks[name](value)
    except ValueError as error:
        raise _wrong(text, f"{name}={quoted(value)}: {error}") from None


def _wrong(text: str, what: str) -> SensorError:
    return SensorError(f"Wrong sensor address '{quoted(text)}': {what}.", is_final=True)
