"""From an address to a sensor, and the ports that a sensor may be found on."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from types import MappingProxyType

from sensors.address import (
    Address,
    host_and_port,
    is_host_and_port,
    parse_address,
    read_speed,
)
from sensors.calibration import Curve
from sensors.clock import Clock, now_s
from sensors.correction import Applied, correction_of
from sensors.events import Sensor, SensorError
from sensors.keep_alive import KeepAlive
from sensors.line_decoder import LineDecoder, RawLines
from sensors.query import DEFAULT_EVERY_S, Query, read_every_s, read_query
from sensors.text_decoder import TextFormat

_NO_CURVES: Mapping[str, Curve] = MappingProxyType({})


def open_sensor(
    address: str,
    *,
    silence_s: float | None = 30.0,
    clock: Clock = now_s,
    curves: Mapping[str, Curve] = _NO_CURVES,
) -> Sensor:
    """Make the sensor that an address names; nothing is opened before it runs.

    All come kept alive but ``sim:`` and ``replay:``: run again those would begin anew.

    Parameters
    ----------
    address
        See ``parse_address``.
    silence_s
        The watchdog's time, or ``None`` for the bare sensor.
    clock
        Seconds that count through sleep.
    curves
        The calibration curves that the option ``curve`` can name.

    Raises
    ------
    SensorError
        Final, if the address is wrong.
    """
    parsed = parse_address(address)
    if parsed.kind == "sim":
        return _sim(parsed)
    if parsed.kind == "replay":
        from sensors.csv_file import read_csv
        from sensors.replay import Replay

        speed = read_speed(parsed.options.get("speed", "1"))
        return Replay(partial(read_csv, parsed.target), speed=speed, name=address, clock=clock)
    curve = curve_of(parsed, curves)
    if parsed.kind in ("serial", "tcp"):
        sensor = _link(parsed, address, clock, curve)
    else:
        from sensors.binary_sensors import open_binary

        sensor = open_binary(parsed, address, clock, curve)
    correction = correction_of(parsed.options)
    if curve is not None or correction is not None:
        sensor = Applied(sensor, correction, *([curve.words] if curve else []))
    if silence_s is None:
        return sensor
    # A gauge asked once a minute is not silent in between.
    silence_s = max(silence_s, 3.0 * read_every_s(parsed.options.get("every", "1")))
    return KeepAlive(sensor, silence_s=silence_s, clock=clock)


def _sim(parsed: Address) -> Sensor:
    from sensors.sim.sensor import SimSensor

    options = parsed.options
    return SimSensor(
        parsed.target,
        seed=int(options["seed"]) if "seed" in options else None,
        speed=read_speed(options.get("speed", "1")) or math.inf,
        rate_hz=float(options["rate"]) if "rate" in options else None,
        is_at_pump=options.get("at") == "pump",
    )


def open_listener(address: str, *, clock: Clock = now_s) -> Sensor:
    """Make a sensor that gives every line as it comes, a ``Rejected`` each, and no reading.

    Parameters
    ----------
    address
        A ``serial:`` or ``tcp:`` address; what it says about the lines is left aside.
    clock
        Seconds that count through sleep.

    Raises
    ------
    SensorError
        Final, if it is no such address.
    """
    parsed = parse_address(address)
    if parsed.kind not in ("serial", "tcp"):
        raise SensorError("Only serial: and tcp: gauges can be listened to.", is_final=True)
    return KeepAlive(_link(parsed, address, clock, None, RawLines()), clock=clock)


def curve_of(parsed: Address, curves: Mapping[str, Curve]) -> Curve | None:
    """Give the curve that an address names, if it names one.

    Raises
    ------
    SensorError
        Final, if there is none of this name.
    """
    name = parsed.options.get("curve")
    if name is None:
        return None
    if name not in curves:
        raise SensorError(
            f"There is no curve '{name}'; a curve is kept with the gauge's profile, expected "
            "profile:NAME of one that has it.",
            is_final=True,
        )
    return curves[name]


def _query_of(parsed: Address) -> Query | None:
    if "query" not in parsed.options:
        return None
    every_s = read_every_s(parsed.options.get("every", f"{DEFAULT_EVERY_S:g}"))
    return Query(read_query(parsed.options["query"]), every_s)


def _link(
    parsed: Address,
    name: str,
    clock: Clock,
    curve: Curve | None,
    decoder: LineDecoder | None = None,
) -> Sensor:
    options = parsed.options
    query = _query_of(parsed)
    text_format = replace(TextFormat.told(options, curve), echo=query.text if query else b"")
    is_converter = parsed.kind == "serial" and is_host_and_port(parsed.target)
    if parsed.kind == "tcp" or is_converter:
        from sensors.tcp import TcpSensor

        host, port = host_and_port(parsed.target)
        return TcpSensor(
            host,
            port,
            text_format,
            is_start_whole=not is_converter,
            query=query,
            decoder=decoder,
            name=name,
            clock=clock,
        )
    from sensors.port import DEFAULT_BAUD
    from sensors.serial_port import SerialSensor

    baud = int(options.get("baud", DEFAULT_BAUD))
    return SerialSensor(
        parsed.target, baud, text_format, query=query, decoder=decoder, name=name, clock=clock
    )


@dataclass(frozen=True, slots=True)
class FoundPort:
    """A serial port of this computer."""

    device: str
    description: str
    address: str


def find_ports() -> list[FoundPort]:
    """List this computer's serial ports, by name.

    Pseudo terminals and ports behind a network do not show here; their addresses can be typed.
    """
    from serial.tools import list_ports

    return [
        FoundPort(port.device, port.description.replace("n/a", ""), f"serial:{port.device}")
        for port in sorted(list_ports.grep(""))
    ]
