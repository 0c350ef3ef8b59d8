"""A port as pyserial opens it, and what its many errors mean: the one place for both."""

import errno
import re
import sys
from typing import Protocol

import serial

from sensors.events import SensorError
from sensors.port_access import permission_advice

DEFAULT_BAUD = 9600
# What pyserial raises when a port is unplugged, depending on the moment: SerialException (an
# OSError), bare OSError, termios.error (not an OSError), TypeError or AttributeError.
GONE: tuple[type[Exception], ...] = (OSError, TypeError, AttributeError)
if sys.platform != "win32":
    import termios

    GONE = (*GONE, termios.error)


class Port(Protocol):
    """What is used of a pyserial port."""

    in_waiting: int

    def read(self, size: int) -> bytes:
        """Give up to ``size`` bytes; fewer when the time-out comes first."""

    def write(self, data: bytes) -> int | None:
        """Send all."""

    def close(self) -> None:
        """Give the port back."""


# pyserial puts the system's own words behind its own, which say once more what was not opened.
_ERRNO = re.compile(r"\[Errno -?[0-9]+\] ([^\n\[]+?)(?:: '[^'\n]*')?$", re.MULTILINE)


def open_port(target: str, baud: int, timeout_s: float, parity: str = "none") -> Port:
    """Open a device such as ``/dev/ttyUSB0``, or what pyserial knows as a URL.

    The thread that opens a port must read and close it.

    Raises
    ------
    SensorError
        If it cannot be opened; final if the baud rate is impossible.
    """
    # A second program on the same port would take half of the bytes away. Only a device can be
    # kept exclusive, and only there does pyserial know a time-out for writing.
    is_device = "://" not in target
    more = {"exclusive": True, "write_timeout": timeout_s} if is_device else {}
    try:
        port: Port = serial.serial_for_url(
            target, baudrate=baud, parity=parity[0].upper(), timeout=timeout_s, **more
        )
    except (ValueError, OverflowError):
        raise SensorError(
            f"{target} cannot be set to {baud} baud; expected a baud rate that "
            "the port knows, such as 9600.",
            is_final=True,
        ) from None
    except GONE as error:
        raise SensorError(why_not_open(target, error)) from None
    return port


def gone(target: str, error: Exception) -> SensorError:
    """Give the error for a port that was lost while it was open, in the system's words if any."""
    told = _ERRNO.search(str(error))
    why = f" ({told[1]})" if told else ""
    return SensorError(f"{target} is gone{why}: is the gauge still plugged in?")


def why_not_open(port: str, error: Exception) -> str:
    """Say in one sentence why a port could not be opened."""
    number = getattr(error, "errno", None)
    text = str(error)
    if number == errno.ENOENT or "FileNotFoundError" in text:
        return (
            f"There is no port {port}: is the gauge plugged in? 'simmerdown find' lists the ports."
        )
    if number in (errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK) or (
        sys.platform == "win32" and "PermissionError" in text
    ):
        return (
            f"The port {port} is taken: another program, or the job that is open here, reads it; "
            "end that first."
        )
    if number in (errno.EACCES, errno.EPERM):
        return f"No permission to open {port}. {permission_advice(port)}"
    if number == errno.ENOTTY or f"({errno.ENOTTY}, " in text:
        return f"{port} is no serial port; 'simmerdown find' lists the ports."
    told = _ERRNO.search(text)
    shown = port.removeprefix("socket://")
    return f"Cannot open {shown}: {told[1] if told else first_line(error)}."


def first_line(error: Exception) -> str:
    """Give an error's text, without what follows its first line."""
    return (str(error) or type(error).__name__).splitlines()[0].rstrip(".")
