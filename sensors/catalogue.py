"""From an address to a sensor, and the ports that a sensor may be found on."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from sensors.address import (
    Address,
    host_and_port,
    is_host_and_port,
    parse_address,
    read_speed,
)
from sensors.calibration import Curve
from sensors.clock import Clock, now_s
from sensors.events import Sensor, SensorError
from sensors.fields import delimiter_named
from sensors.keep_alive import KeepAlive
from sensors.line_decoder import LineDecoder, RawLines
from sensors.query import DEFAULT_EVERY_S, Query, read_every_s, read_query
from sensors.text_decoder import TextFormat
from sensors.units import unit_named

_READ_KINDS = ("sim", "replay", "serial", "tcp")


def open_sensor(address: str, *, silence_s: float | None = 30.0, clock: Clock = now_s) -> Sensor:
    """Make the sensor that an address names; nothing is opened before it runs.

    Sensors on a link (``serial:``, ``tcp:``) come kept alive. ``sim:`` and ``replay:`` do not:
    run again they would begin anew.

    Parameters
    ----------
    address
        See ``parse_address``.
    silence_s
        The watchdog's time, or ``None`` for the bare sensor.
    clock
        Seconds that count through sleep.

    Raises
    ------
    SensorError
        Final, if the address is wrong or its kind is not read by this version.
    """
    parsed = parse_address(address)
    if parsed.kind == "sim":
        return _sim(parsed)
    if parsed.kind == "replay":
        from sensors.replay import Replay

        speed = read_speed(parsed.options.get("speed", "1"))
        return Replay(parsed.target, speed=speed, name=address, clock=clock)
    if parsed.kind in ("serial", "tcp"):
        sensor = _link(parsed, address, clock)
        return sensor if silence_s is None else KeepAlive(sensor, silence_s=silence_s, clock=clock)
    raise SensorError(
        f"This version does not read {parsed.kind}: sensors yet; it reads "
        f"{', '.join(f'{kind}:' for kind in _READ_KINDS)}.",
        is_final=True,
    )


def _sim(parsed: Address) -> Sensor:
    from sensors.sim.sensor import SimSensor

    options = parsed.options
    return SimSensor(
        parsed.target,
        seed=int(options["seed"]) if "seed" in options else None,
        speed=read_speed(options.get("speed", "1")) or math.inf,
        rate_hz=float(options["rate"]) if "rate" in options else None,
    )


def _link(parsed: Address, name: str, clock: Clock) -> Sensor:
    options = parsed.options
    text_format = TextFormat(
        field=options.get("field"),
        unit=unit_named(options["unit"]) if "unit" in options else None,
        delimiter=delimiter_named(options["delimiter"]) if "delimiter" in options else None,
        temperature=options.get("temperature"),
    )
    is_converter = parsed.kind == "serial" and is_host_and_port(parsed.target)
    if parsed.kind == "tcp" or is_converter:
        from sensors.tcp import TcpSensor

        host, port = host_and_port(parsed.target)
        return TcpSensor(
            host, port, text_format, is_start_whole=not is_converter, name=name, clock=clock
        )
    from sensors.port import DEFAULT_BAUD
    from sensors.serial_port import SerialSensor

    baud = int(options.get("baud", DEFAULT_BAUD))
    return SerialSensor(parsed.target, baud, text_format, name=name, clock=clock)


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
