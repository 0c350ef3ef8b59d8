"""The serial sensor over a real RFC 2217 server on the loopback (pyserial's own)."""

import asyncio
import socket
import threading
from contextlib import suppress
from functools import partial

import pytest
import serial
from pymodbus.framer import FramerRTU
from serial.rfc2217 import PortManager

from sensors.catalogue import open_sensor
from sensors.events import Connected, SensorError
from sensors.keep_alive import KeepAlive
from sensors.serial_port import SerialSensor
from sensors.text_decoder import TextFormat
from tests.sensors.heard import Heard
from tests.sensors.tasks import stopped

# pyserial 3.5 still calls Thread.setDaemon and setName.
pytestmark = pytest.mark.filterwarnings("ignore:set(Daemon|Name)\\(\\) is deprecated")


class Converter:
    """A network converter, one client at a time; ``loop://`` stands for its serial line.

    Parameters
    ----------
    answers
        What the gauge behind it answers to each question, by its text.
    clients
        How many connections it takes, one after the other.
    """

    def __init__(self, answers: dict[bytes, bytes] | None = None, clients: int = 1) -> None:
        self._answers, self._clients = answers or {}, clients
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listener.getsockname()[1]
        self.line = serial.serial_for_url("loop://", timeout=0)
        self._client: socket.socket | None = None
        self._thread = threading.Thread(target=self._serve)
        self._thread.start()

    def write(self, data: bytes) -> None:
        """Send a byte string to the client, once it is there."""
        assert self._client
        self._client.sendall(data)

    def _serve(self) -> None:
        for _ in range(self._clients):
            with suppress(OSError):  # closed while nobody came
                client, _ = self._listener.accept()
                self._serve_one(client)

    def _serve_one(self, client: socket.socket) -> None:
        self._client, before = client, self._client
        if before:
            before.close()
        manager, asked = PortManager(self.line, self), b""
        while data := self._receive():
            asked += b"".join(manager.filter(data))
            answer = self._answers.get(asked)
            if answer is not None:
                self.write(answer)
                asked = b""

    def _receive(self) -> bytes:
        assert self._client
        try:
            return self._client.recv(1024)
        except OSError:
            return b""

    def close(self) -> None:
        if self._client:
            self.hang_up()
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)
        self._thread.join()
        if self._client:
            self._client.close()
        self._listener.close()
        self.line.close()

    def hang_up(self) -> None:
        assert self._client
        with suppress(OSError):
            self._client.shutdown(socket.SHUT_RDWR)


def test_sets_the_baud_rate_reads_and_tells_the_loss() -> None:
    converter = Converter()

    async def main() -> None:
        heard = Heard()
        sensor = SerialSensor(f"rfc2217://127.0.0.1:{converter.port}", 19200, TextFormat(unit="pa"))
        task = asyncio.ensure_future(sensor.run(heard))
        await heard.until(lambda h: h.links() == ["connected"])
        assert converter.line.baudrate == 19200
        converter.write(b"23\r\n522\r\n521.5\r\n")
        await heard.until(lambda h: len(h.readings()) == 2)
        converter.hang_up()
        with pytest.raises(SensorError, match="is gone"):
            await task
        assert [r.pressure_pa for r in heard.readings()] == [522, 521.5]

    try:
        asyncio.run(main())
    finally:
        converter.close()


def test_asks_through_the_converter() -> None:
    converter = Converter({b"P?\r": b"522 micron\r\n"})

    async def main() -> None:
        heard = Heard()
        target = f"serial:rfc2217://127.0.0.1:{converter.port}"
        task = asyncio.ensure_future(open_sensor(f"{target}?query=P%3F%0D&every=0.05").run(heard))
        await heard.until(lambda h: len(h.readings()) == 5)
        await stopped(task)
        values = [r.pressure_pa for r in heard.readings()][:5]
        assert values == pytest.approx([522 * 0.1333224] * 5)
        # On a busy machine the first answer may come before the line was seen to be quiet.
        assert [r.raw for r in heard.rejected()] in ([], [b"522 micron"])

    try:
        asyncio.run(main())
    finally:
        converter.close()


def test_comes_back_to_a_converter_that_hung_up_in_mid_line() -> None:
    converter = Converter(clients=3)

    async def main() -> None:
        heard = Heard()
        sensor = SerialSensor(f"rfc2217://127.0.0.1:{converter.port}", 9600, TextFormat(unit="pa"))
        task = asyncio.ensure_future(KeepAlive(sensor, first_retry_s=0.01).run(heard))
        for life in range(3):
            await heard.until(lambda h: h.links()[-1:] == ["connected"])
            converter.write(b"9\r\n%d1\r\n%d2\r\n%d" % (life, life, life))
            await heard.until(partial(has_read, 2 * (life + 1)))
            converter.hang_up()
            await heard.until(lambda h: h.links()[-1] == "lost")
        await stopped(task)
        assert [r.pressure_pa for r in heard.readings()] == [1, 2, 11, 12, 21, 22]

    try:
        asyncio.run(main())
    finally:
        converter.close()


def has_read(count: int, heard: Heard) -> bool:
    return len(heard.readings()) == count


def test_nobody_answers() -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
    with pytest.raises(SensorError, match="Cannot open"):
        asyncio.run(SerialSensor(f"rfc2217://127.0.0.1:{port}").run(Heard()))


def test_scpi_through_the_converter() -> None:
    converter = Converter({b"*CLS\n*IDN?\n": b"Invented,G,1,0\n", b"MEAS:PRES?\n": b"+6.65E1\n"})

    async def main() -> None:
        heard = Heard()
        address = f"scpi:rfc2217://127.0.0.1:{converter.port}?baud=19200&every=0.02"
        task = asyncio.ensure_future(open_sensor(address).run(heard))
        await heard.until(lambda h: len(h.readings()) >= 3)
        assert converter.line.baudrate == 19200
        converter.hang_up()
        await heard.until(lambda h: h.links() == ["connected", "lost"])
        await stopped(task)
        assert isinstance(heard.events[0], Connected)
        assert heard.events[0].detail == "Invented,G,1,0"
        assert {r.pressure_pa for r in heard.readings()} == {66.5}
        assert heard.rejected() == []

    try:
        asyncio.run(main())
    finally:
        converter.close()


def test_modbus_through_the_converter() -> None:
    # Device 7, function 3, register 100, one of them; it holds 523.
    question, answer = (
        frame + FramerRTU.compute_CRC(frame).to_bytes(2, "big")
        for frame in (bytes.fromhex("070300640001"), bytes.fromhex("070302020B"))
    )
    converter = Converter({question: answer})

    async def main() -> None:
        heard = Heard()
        target = f"rfc2217://127.0.0.1:{converter.port}"
        options = "device=7&register=100&unit=pa&parity=even&baud=19200&every=0.02"
        task = asyncio.ensure_future(open_sensor(f"modbus:{target}?{options}").run(heard))
        await heard.until(lambda h: len(h.readings()) >= 3)
        assert (converter.line.baudrate, converter.line.parity) == (19200, serial.PARITY_EVEN)
        converter.hang_up()
        await heard.until(lambda h: h.links() == ["connected", "lost"])
        await stopped(task)
        assert {r.pressure_pa for r in heard.readings()} == {523.0}

    try:
        asyncio.run(main())
    finally:
        converter.close()
