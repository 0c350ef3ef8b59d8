"""A gauge on a serial port, read by pyserial on a thread of its own."""

import asyncio
import errno
import sys
import threading
from contextlib import suppress
from typing import Protocol

import serial

from sensors.clock import Clock, now_s
from sensors.events import Connected, Emit, SensorError
from sensors.tcp import QUIET_S
from sensors.text_decoder import TextDecoder, TextFormat

DEFAULT_BAUD = 9600
# What pyserial raises when a port is unplugged, depending on the moment: SerialException (an
# OSError), bare OSError, termios.error (not an OSError), TypeError or AttributeError.
_GONE: tuple[type[Exception], ...] = (OSError, TypeError, AttributeError)
if sys.platform != "win32":
    import termios

    _GONE = (*_GONE, termios.error)


class _Port(Protocol):
    """What is used of a pyserial port."""

    in_waiting: int

    def read(self, size: int) -> bytes: ...

    def close(self) -> None: ...


class SerialSensor:
    """Read text lines from a serial port.

    Parameters
    ----------
    port
        A device such as ``/dev/ttyUSB0`` or ``COM3``, or ``rfc2217://HOST:NUMBER``.
    baud
        Bits a second.
    text_format
        What is known about the lines.
    name
        The address; found from the port when left out.
    clock
        Seconds that count through sleep; called on the reading thread.
    """

    def __init__(
        self,
        port: str,
        baud: int = DEFAULT_BAUD,
        text_format: TextFormat | None = None,
        *,
        name: str | None = None,
        clock: Clock = now_s,
    ) -> None:
        self.name = name or f"serial:{port}?baud={baud}"
        self._port, self._baud = port, baud
        self._decoder = TextDecoder(text_format)
        self._clock = clock

    async def run(self, emit: Emit) -> None:
        """Read until the port is gone (``SensorError``) or the task is cancelled."""
        stop = threading.Event()
        loop = asyncio.get_running_loop()
        job = loop.run_in_executor(None, self._read, emit, stop)
        try:
            await asyncio.shield(job)
        finally:
            stop.set()
            await asyncio.wait([job])
            with suppress(Exception):  # told already by the shield, or of no use once cancelled
                job.result()

    def _read(self, emit: Emit, stop: threading.Event) -> None:
        """Open, read and close: all on the calling thread."""
        port = self._open()
        try:
            emit(Connected(self._clock(), f"{self._port} at {self._baud} baud"))
            self._decoder.restart()
            while not stop.is_set():
                data = self._read_some(port)
                if not data:
                    self._decoder.mark_quiet()
                for event in self._decoder.feed(data, self._clock()):
                    emit(event)
        finally:
            for rejected in self._decoder.end(self._clock()):
                emit(rejected)
            with suppress(*_GONE):
                port.close()

    def _open(self) -> _Port:
        # A second program on the same port would take half of the bytes away.
        is_device = "://" not in self._port
        exclusive = {"exclusive": True} if is_device else {}
        try:
            port: _Port = serial.serial_for_url(
                self._port, baudrate=self._baud, timeout=QUIET_S, **exclusive
            )
        except (ValueError, OverflowError):
            raise SensorError(
                f"{self._port} cannot be set to {self._baud} baud; expected a baud rate that "
                "the port knows, such as 9600.",
                is_final=True,
            ) from None
        except _GONE as error:
            raise SensorError(_why_not_open(self._port, error)) from None
        return port

    def _read_some(self, port: _Port) -> bytes:
        try:
            data: bytes = port.read(1)
            if data and port.in_waiting:
                data += port.read(min(port.in_waiting, 4096))
        except _GONE as error:
            raise SensorError(
                f"{self._port} is gone ({_first_line(error)}): is the gauge still plugged in?"
            ) from None
        return data


def _why_not_open(port: str, error: Exception) -> str:
    number = getattr(error, "errno", None)
    text = str(error)
    if number == errno.ENOENT or "FileNotFoundError" in text:
        return (
            f"There is no port {port}: is the gauge plugged in? 'simmerdown find' lists the ports."
        )
    if number in (errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK) or (
        sys.platform == "win32" and "PermissionError" in text
    ):
        return f"The port {port} is taken: another program reads it; close that program."
    if number in (errno.EACCES, errno.EPERM):
        return (
            f"No permission to open {port}: expected your user to be in the group that owns it, "
            "on most systems dialout ('sudo usermod -aG dialout $USER', then log in again)."
        )
    return f"Cannot open {port}: {_first_line(error)}."


def _first_line(error: Exception) -> str:
    return (str(error) or type(error).__name__).splitlines()[0].rstrip(".")
