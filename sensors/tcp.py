"""A gauge that sends its lines over a TCP connection."""

import asyncio
from typing import Final

from sensors.clock import Clock, now_s
from sensors.events import Connected, Emit, SensorError
from sensors.text_decoder import TextDecoder, TextFormat

CONNECT_S: Final = 10.0
# The bytes of one line follow each other within milliseconds (8 ms a byte at 1200 baud, up to
# 16 ms more in a USB adapter): when nothing came for this long, the next byte begins a line.
QUIET_S: Final = 0.25


class TcpSensor:
    """Read text lines from a TCP server.

    Parameters
    ----------
    host, port
        Where the server listens.
    text_format
        What is known about the lines.
    is_start_whole
        True for a gauge that speaks to this connection alone, so that its first byte begins a
        line; False for a serial line behind a network converter, which may be in mid-line.
    name
        The address; found from host and port when left out.
    clock
        Seconds that count through sleep.
    """

    def __init__(
        self,
        host: str,
        port: int,
        text_format: TextFormat | None = None,
        *,
        is_start_whole: bool = True,
        name: str | None = None,
        clock: Clock = now_s,
    ) -> None:
        self.name = name or f"tcp:{host}:{port}"
        self._host, self._port = host, port
        self._is_start_whole = is_start_whole
        self._decoder = TextDecoder(text_format)
        self._clock = clock

    async def run(self, emit: Emit) -> None:
        """Read until the connection ends (``SensorError``) or the task is cancelled."""
        reader, writer = await self._connect()
        try:
            emit(Connected(self._clock(), f"{self._host} port {self._port}"))
            self._decoder.restart(is_start_whole=self._is_start_whole)
            await self._read(reader, emit)
        finally:
            for rejected in self._decoder.end(self._clock()):
                emit(rejected)
            writer.transport.abort()

    async def _connect(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        try:
            async with asyncio.timeout(CONNECT_S):
                return await asyncio.open_connection(self._host, self._port)
        except TimeoutError:
            why = f"no answer within {CONNECT_S:.0f} s"
        except (OSError, UnicodeError) as error:
            # Several addresses of one host give several errors, joined without an errno.
            why = getattr(error, "strerror", None) or str(error)
        raise SensorError(
            f"Cannot connect to {self._host} port {self._port}: {why}. "
            "Is the gauge on and in the same network?"
        )

    async def _read(self, reader: asyncio.StreamReader, emit: Emit) -> None:
        is_first = True
        while True:
            try:
                async with asyncio.timeout(QUIET_S if is_first else None):
                    data = await reader.read(4096)
            except TimeoutError as error:
                if not is_first:  # the operating system's own time-out of a dead connection
                    raise self._lost(error.strerror or "timed out") from None
                self._decoder.mark_quiet()
                is_first = False
                continue
            except OSError as error:
                raise self._lost(error.strerror or str(error)) from None
            if not data:
                raise self._lost("the other side closed it")
            is_first = False
            for event in self._decoder.feed(data, self._clock()):
                emit(event)

    def _lost(self, why: str) -> SensorError:
        return SensorError(f"The connection to {self._host} port {self._port} ended: {why}.")
