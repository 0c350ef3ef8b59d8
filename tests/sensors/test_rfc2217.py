"""The serial sensor over a real RFC 2217 server on the loopback (pyserial's own)."""

import asyncio
import socket
import threading
from contextlib import suppress

import pytest
import serial
from serial.rfc2217 import PortManager

from sensors.events import SensorError
from sensors.serial_port import SerialSensor
from sensors.text_decoder import TextFormat
from tests.sensors.heard import Heard

# pyserial 3.5 still calls Thread.setDaemon and setName.
pytestmark = pytest.mark.filterwarnings("ignore:set(Daemon|Name)\\(\\) is deprecated")


class Converter:
    """A network converter with one client; ``loop://`` stands for its serial line."""

    def __init__(self) -> None:
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
        self._client, _ = self._listener.accept()
        manager = PortManager(self.line, self)
        while data := self._receive():
            for _ in manager.filter(data):
                pass

    def _receive(self) -> bytes:
        assert self._client
        try:
            return self._client.recv(1024)
        except OSError:
            return b""

    def close(self) -> None:
        if self._client:
            self.hang_up()
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


def test_nobody_answers() -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
    with pytest.raises(SensorError, match="Cannot open"):
        asyncio.run(SerialSensor(f"rfc2217://127.0.0.1:{port}").run(Heard()))
