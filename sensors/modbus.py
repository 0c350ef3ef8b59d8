"""A gauge read over Modbus, on a serial line (RTU) or over TCP: an open standard."""

import socket
import struct
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from pymodbus import FramerType, ModbusException
from pymodbus.client import ModbusSerialClient, ModbusTcpClient
from pymodbus.pdu import ModbusPDU

from sensors.address import host_and_port, is_host_and_port
from sensors.clock import Clock, now_s
from sensors.events import Connected, Emit, Reading, Rejected, SensorError
from sensors.on_thread import run_on_thread
from sensors.packed_number import PackedFormat
from sensors.port import DEFAULT_BAUD, GONE, first_line, gone, open_port, why_not_open

# "Modbus over serial line" 1.02, 2.4.1: "a response time-out of 1 s to several seconds".
_ANSWER_S = 1.0
_RETRIES = 1
_CONNECT_S = 5.0
_EXCEPTIONS = {  # "Modbus application protocol" 1.1b3, section 7
    1: "the function is not supported; expected table=holding or table=input",
    2: "no such register",
    3: "an illegal value in the request",
    4: "a failure of the device",
    6: "busy",
}


@dataclass(frozen=True, slots=True)
class Registers:
    """Where the pressure is, and how it is packed.

    Attributes
    ----------
    device
        The unit identifier, 0 to 255.
    register
        The address on the wire, from 0: what many manuals write as 40001 or 30001 is 0 here.
    table
        ``holding`` or ``input``.
    word_order
        ``big``: the register with the high word comes first; ``little``: the low one.
    packed
        The number's form (16 or 32 bits, ``be``: a register's high byte goes first), scale and
        unit.
    """

    register: int
    device: int = 1
    table: str = "holding"
    word_order: str = "big"
    packed: PackedFormat = field(default_factory=lambda: PackedFormat("u16be"))

    @property
    def words(self) -> str:
        """What is read, for the user."""
        return f"Modbus device {self.device}, {self.table} register {self.register}"

    @property
    def count(self) -> int:
        """How many registers the number takes."""
        return 2 if "32" in self.packed.form else 1

    def decode(self, words: Sequence[int], time_s: float) -> Reading | Rejected:
        """Give the reading that these registers hold, or why they hold none."""
        in_order = words if self.word_order == "big" else words[::-1]
        return self.packed.decode(struct.pack(f">{len(words)}H", *in_order), time_s)


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
        time_s = self._clock()
        if answer.isError():
            code = answer.exception_code
            what = _EXCEPTIONS.get(code, "see the device's manual")
            return Rejected(time_s, bytes([code]), f"the device answers exception {code}: {what}")
        return wanted.decode(answer.registers, time_s)
