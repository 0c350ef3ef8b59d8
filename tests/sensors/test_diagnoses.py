"""What keeps a gauge from being read is provoked, and said with the way out.

Here are those that need no radio and are not beside their kind: a missing, taken or wrongly set
port is in ``test_serial_port``, Bluetooth in ``test_bluetooth_health`` and ``bluetooth``.
"""

import asyncio
import errno
import os
import pwd
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from sensors import scpi, tcp
from sensors.calibration import Curve, Point
from sensors.catalogue import open_sensor
from sensors.events import SensorError
from sensors.port import gone, open_port, why_not_open
from sensors.scpi import ScpiSensor
from sensors.tcp import TcpSensor
from tests.sensors.heard import Heard
from tests.sensors.tasks import serving

if sys.platform != "win32":
    import grp
    import pwd
assert pwd  # loaded beforehand, for no_administrator
NOBODY = 65534
LINE = Curve("linear", (Point(0.0, 0.0), Point(10.0, 1e5)))
needs_pty = pytest.mark.skipif(sys.platform == "win32", reason="pseudo terminals are POSIX")


@contextmanager
def no_administrator() -> Iterator[None]:
    """Be a plain user meanwhile, where the tests are run by the administrator.

    Modules that are first needed meanwhile may be out of this user's reach.
    """
    is_root = os.geteuid() == 0
    if is_root:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if is_root:
            os.seteuid(0)


@pytest.fixture
def line() -> Iterator[str]:
    master, slave = os.openpty()
    yield os.ttyname(slave)
    os.close(slave)
    os.close(master)


@needs_pty
def test_a_port_that_only_its_owner_may_open(line: str) -> None:
    os.chmod(line, 0)
    with no_administrator(), pytest.raises(SensorError) as caught:
        open_port(line, 9600, 0.1)
    assert str(caught.value).startswith(f"No permission to open {line}. Its system rules give it")
    assert f"'sudo chmod a+rw {line}'" in str(caught.value)
    assert not caught.value.is_final  # once it is mended, it is read


@needs_pty
@pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() != 0, reason="only root gives files to a group"
)
def test_a_port_that_a_group_may_open(line: str) -> None:
    groups = {group.gr_name: group for group in grp.getgrall() if group.gr_gid != 0}
    group = groups.get("dialout") or next(iter(groups.values()))
    os.chown(line, 0, group.gr_gid)
    os.chmod(line, 0o660)
    with no_administrator(), pytest.raises(SensorError) as caught:
        open_port(line, 9600, 0.1)
    assert f"Join its group: 'sudo usermod -aG {group.gr_name} $USER'" in str(caught.value)


@pytest.mark.parametrize(
    ("platform", "error", "said"),
    [
        ("win32", OSError("could not open port 'COM3': PermissionError(13, 'x')"), "is taken"),
        ("win32", OSError("could not open port 'COM9': FileNotFoundError(2)"), "There is no port"),
        ("darwin", OSError(errno.EACCES, "x"), "/dev/cu"),
        ("darwin", OSError(errno.EBUSY, "x"), "end that first"),
        ("linux", OSError(errno.EIO, "Input/output error"), "Cannot open P: "),
    ],
)
def test_what_other_systems_say(
    monkeypatch: pytest.MonkeyPatch, platform: str, error: OSError, said: str
) -> None:
    monkeypatch.setattr(sys, "platform", platform)
    assert said in why_not_open("P", error)


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (OSError(errno.EIO, "Input/output error"), "P is gone (Input/output error): is"),
        (
            OSError("read failed: [Errno 5] Input/output error"),
            "P is gone (Input/output error): is",
        ),
        # What pyserial says to programmers, and what it trips over, is no word for a technician.
        (OSError("device reports readiness to read but returned no data"), "P is gone: is"),
        (TypeError("'NoneType' object cannot be interpreted as an integer"), "P is gone: is"),
    ],
)
def test_a_lost_port_is_told_in_the_systems_words_or_none(error: Exception, said: str) -> None:
    assert str(gone("P", error)).startswith(said)


@needs_pty
def test_what_is_no_port_is_told_once(tmp_path: Path) -> None:
    with pytest.raises(SensorError) as caught:
        open_port(str(tmp_path), 9600, 0.1)
    assert str(caught.value) == f"Cannot open {tmp_path}: Is a directory."


@pytest.mark.skipif(sys.platform != "linux", reason="other systems refuse a full queue")
def test_a_host_that_does_not_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tcp, "CONNECT_S", 0.2)
    with socket.create_server(("127.0.0.1", 0), backlog=0) as listener:
        port = listener.getsockname()[1]
        waiting = [socket.socket() for _ in range(4)]  # nobody takes them: the queue is full
        for one in waiting:
            one.setblocking(False)
            one.connect_ex(("127.0.0.1", port))
        with pytest.raises(SensorError, match=r"no answer within 0 s\. Is the gauge on"):
            asyncio.run(TcpSensor("127.0.0.1", port).run(Heard()))
        for one in waiting:
            one.close()


def test_a_connection_that_the_system_gives_up(monkeypatch: pytest.MonkeyPatch) -> None:
    async def read(*_: object) -> bytes:
        raise TimeoutError(errno.ETIMEDOUT, "Connection timed out")

    async def quiet(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        pass

    async def main() -> None:
        async with serving(quiet) as target:
            with pytest.raises(SensorError, match=r"ended: Connection timed out\.$"):
                await open_sensor(f"tcp:{target}", silence_s=None).run(Heard())

    monkeypatch.setattr(asyncio.StreamReader, "read", read)
    asyncio.run(main())


def test_an_instrument_that_falls_silent(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(scpi, "_ANSWER_S", 0.1)

    async def only_its_name(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while line := await reader.readline():
            writer.write(b"Invented,G,1,0\n" if line == b"*IDN?\n" else b"")

    async def main() -> None:
        async with serving(only_its_name) as target:
            with pytest.raises(SensorError, match=r"no longer answers MEAS:PRES\?\.$"):
                await ScpiSensor(target).run(Heard())

    asyncio.run(main())


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("modbus:COM3", "expected register=NUMBER, counted from 0"),
        ("ble:Gauge?form=u16le", "characteristic= and form= together"),
        ("ble:Gauge?characteristic=2A6D", "characteristic= and form= together"),
        ("ble:Gauge?curve=volts", "goes through no curve"),
        ("serial:COM3?curve=head", "a curve is kept with the gauge's profile"),
        ("usb:1", "expected one of sim:, replay:, serial:"),
    ],
)
def test_what_an_address_leaves_open(address: str, said: str) -> None:
    with pytest.raises(SensorError) as caught:
        open_sensor(address, curves={"volts": LINE})
    assert said in str(caught.value)
    assert caught.value.is_final
