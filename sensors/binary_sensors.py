"""From an address to the sensors that need a library of their own, loaded only when used."""

from dataclasses import replace

from sensors.address import Address
from sensors.binary_options import packed_format, read_query_text, read_uuid
from sensors.calibration import Curve
from sensors.clock import Clock
from sensors.events import Sensor, SensorError
from sensors.port import DEFAULT_BAUD
from sensors.query import read_every_s
from sensors.text_decoder import TextFormat


def open_binary(parsed: Address, name: str, clock: Clock, curve: Curve | None) -> Sensor:
    """Make the bare sensor of a ``scpi:``, ``modbus:``, ``ble:`` or ``bthome:`` address.

    Raises
    ------
    SensorError
        Final, if an option is missing.
    """
    if parsed.kind == "scpi":
        return _scpi(parsed, name, clock, curve)
    if parsed.kind == "modbus":
        return _modbus(parsed, name, clock, curve)
    if parsed.kind == "ble":
        return _ble(parsed, name, clock, curve)
    from sensors.bthome_sensor import BthomeSensor

    return BthomeSensor(parsed.target, name=name, clock=clock)


def _scpi(parsed: Address, name: str, clock: Clock, curve: Curve | None) -> Sensor:
    from sensors.scpi import DEFAULT_QUERY, ScpiSensor

    options = parsed.options
    return ScpiSensor(
        parsed.target,
        read_query_text(options.get("query", DEFAULT_QUERY)),
        TextFormat.told(options, curve),
        every_s=read_every_s(options.get("every", "0.5")),
        baud=int(options.get("baud", DEFAULT_BAUD)),
        name=name,
        clock=clock,
    )


def _modbus(parsed: Address, name: str, clock: Clock, curve: Curve | None) -> Sensor:
    from sensors.modbus import ModbusSensor
    from sensors.modbus_registers import Registers

    options = parsed.options
    if "register" not in options:
        raise SensorError(
            f"'{name}' names no register; expected register=NUMBER, counted from 0.", is_final=True
        )
    registers = Registers(
        register=int(options["register"]),
        device=int(options.get("device", "1")),
        table=options.get("table", "holding"),
        word_order=options.get("order", "big"),
        packed=replace(packed_format(options.get("type", "u16") + "be", options), curve=curve),
    )
    return ModbusSensor(
        parsed.target,
        registers,
        baud=int(options.get("baud", DEFAULT_BAUD)),
        parity=options.get("parity", "none"),
        framing=options.get("framing"),
        every_s=read_every_s(options.get("every", "0.5")),
        name=name,
        clock=clock,
    )


def _ble(parsed: Address, name: str, clock: Clock, curve: Curve | None) -> Sensor:
    options = parsed.options
    characteristic, form = options.get("characteristic"), options.get("form")
    if (characteristic is None) != (form is None):
        raise SensorError(
            f"'{name}': expected characteristic= and form= together, or neither for the "
            "standard's own pressure.",
            is_final=True,
        )
    if characteristic is None and curve is not None:
        raise SensorError(
            f"'{name}': the standard's own pressure goes through no curve; expected "
            "characteristic= and form= of a signal.",
            is_final=True,
        )
    from sensors.ble import BleSensor
    from sensors.ble_values import PackedValues, TextValues

    every_s = read_every_s(options.get("every", "1"))
    if characteristic is None or form is None:
        return BleSensor(parsed.target, every_s=every_s, name=name, clock=clock)
    values = (
        TextValues(TextFormat.told(options, curve))
        if form == "text"
        else PackedValues(replace(packed_format(form, options), curve=curve))
    )
    return BleSensor(
        parsed.target, read_uuid(characteristic), values, every_s=every_s, name=name, clock=clock
    )
