"""A gauge read over Modbus, on a serial line (RTU) or over TCP: an open standard."""

import socket
import threading
from contextlib import suppress
from typing import Any

from pymodbus import FramerType, ModbusException
from pymodbus.client import ModbusSerialClient, ModbusTcpClient
from pymodbus.pdu import ModbusPDU

from sensors.address import host_and_port, is_host_and_port
from sensors.clock import Clock, now_s
from sensors.events import Connected, Emit, Reading, Rejected, SensorError
from sensors.modbus_registers import Registers, refused
from sensors.on_thread import run_on_thread
from sensors.port import DEFAULT_BAUD, GONE, first_line, gone, open_port, why_not_open

# "Modbus over serial line" 1.02, 2.4.1: "a response time-out of 1 s to several seconds".
_ANSWER_S = 1.0
_RETRIES = 1
_CONNECT_S = 5.0


class ModbusSensor:
    """Ask a Modbus device for its pressure, again and again.

    Parameters
    ----------
    target
        A serial device or ``rfc2217://HOST:NUMBER`` (RTU), or ``HOST:NUMBER``.
    registers
        What to read.
    baud, parity
        Bits a second on a serial line; ``none``, ``even`` or ``odd``.
    framing
        ``rtu`` or ``tcp``; found from the target when left out. A plain network converter in
        front of a serial line needs ``rtu``.
    every_s
        Time from one question to the next, > 0.
    name
        The address.
    clock
        Seconds that count through sleep; called on the reading thread.
    """

    def __init__(
        self,
        target: str,
        registers: Registers,
        *,
        baud: int = DEFAULT_BAUD,
        parity: str = "none",
        framing: str | None = None,
        every_s: float = 0.5,
        name: str | None = None,
        clock: Clock = now_s,
    ) -> None:
        self.name = name or f"modbus:{target}"
        self._target, self._framing = target, framing
        self._baud, self._parity = baud, parity
        self._registers = registers
        self._every_s, self._clock = every_s, clock

    async def run(self, emit: Emit) -> None:
        """Ask until the device no longer answers (``SensorError``) or the task is cancelled."""
        await run_on_thread(lambda stop: self._read(emit, stop))

    def _read(self, emit: Emit, stop: threading.Event) -> None:
        client = self._open()
        try:
            first = self._ask(client)
            emit(Connected(self._clock(), f"{self._registers.words} on {self._target}"))
            emit(first)
            while not stop.wait(self._every_s):
                emit(self._ask(client))
        except ModbusException as error:
            raise SensorError(
                f"Modbus device {self._registers.device} on {self._target} does not answer "
                f"({first_line(error)}): are its number, the baud rate and the wiring right?"
            ) from None
        except GONE as error:
            raise gone(self._target, error) from None
        finally:
            with suppress(*GONE):
                client.close()

    def _open(self) -> Any:
        """Give a client that is connected: opened here, so that a failure is told in words."""
        often: Any = {"timeout": _ANSWER_S, "retries": _RETRIES}
        client: Any
        if is_host_and_port(self._target):
            host, port = host_and_port(self._target)
            framer = FramerType.RTU if self._framing == "rtu" else FramerType.SOCKET
            client = ModbusTcpClient(host, port=port, framer=framer, **often)
            try:
                client.socket = socket.create_connection((host, port), _CONNECT_S)
            except (OSError, UnicodeError) as error:
                raise SensorError(why_not_open(self._target, error)) from None
        else:
            client = ModbusSerialClient(self._target, baudrate=self._baud, **often)
            client.socket = open_port(self._target, self._baud, _ANSWER_S, self._parity)
        return client

    def _ask(self, client: Any) -> Reading | Rejected:
        wanted = self._registers
        is_input = wanted.table == "input"
        ask = client.read_input_registers if is_input else client.read_holding_registers
        answer: ModbusPDU = ask(wanted.register, count=wanted.count, device_id=wanted.device)
        if answer.isError():
            return refused(answer.exception_code, self._clock())
        return wanted.decode(answer.registers, self._clock())
