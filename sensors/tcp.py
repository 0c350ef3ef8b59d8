"""A gauge that sends its lines over a TCP connection."""

import asyncio
from typing import Final

from sensors.clock import Clock, now_s
from sensors.events import Connected, Emit, SensorError
from sensors.line_decoder import LineDecoder
from sensors.query import Asker, Query
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
    query
        What to ask a gauge that speaks only when asked.
    decoder
        Reads the lines instead of ``text_format``.
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
        query: Query | None = None,
        decoder: LineDecoder | None = None,
        name: str | None = None,
        clock: Clock = now_s,
    ) -> None:
        self.name = name or f"tcp:{host}:{port}"
        self._host, self._port = host, port
        self._is_start_whole = is_start_whole
        self._query = query
        self._decoder: LineDecoder = decoder or TextDecoder(text_format)
        self._clock = clock

    async def run(self, emit: Emit) -> None:
        """Read until the connection ends (``SensorError``) or the task is cancelled."""
        reader, writer = await self._connect()
        try:
            emit(Connected(self._clock(), f"{self._host} port {self._port}"))
            self._decoder.restart(is_start_whole=self._is_start_whole)
            await self._read(reader, writer, emit)
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
            if isinstance(error, ConnectionRefusedError):
                why = "it refuses the connection"
        raise SensorError(
            f"Cannot connect to {self._host} port {self._port}: {why}. "
            "Is the gauge on and in the same network?"
        )

    async def _read(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, emit: Emit
    ) -> None:
        asker = Asker(self._query, self._clock() + QUIET_S) if self._query else None
        wait_s: float | None = QUIET_S
        while True:
            data = await self._receive(reader, wait_s)
            if data is None:
                self._decoder.mark_quiet()
            else:
                events = self._decoder.feed(data, self._clock())
                if events and asker is not None:
                    asker.answered()
                for event in events:
                    emit(event)
            wait_s = None if asker is None else await self._ask(writer, asker)

    async def _ask(self, writer: asyncio.StreamWriter, asker: Asker) -> float:
        """Ask if it is time; give the seconds until it will be again."""
        question = asker.due(self._clock())
        if question is not None:
            writer.write(question)
            try:
                await writer.drain()
            except OSError as error:
                raise self._lost(error.strerror or str(error)) from None
        return asker.wait_s(self._clock())

    async def _receive(self, reader: asyncio.StreamReader, wait_s: float | None) -> bytes | None:
        """Give what has come, or ``None`` when nothing did in time."""
        try:
            async with asyncio.timeout(wait_s) as limit:
                data = await reader.read(4096)
        except TimeoutError as error:
            if limit.expired():
                return None
            # The operating system's own time-out of a dead connection.
            raise self._lost(error.strerror or "timed out") from None
        except OSError as error:
            raise self._lost(error.strerror or str(error)) from None
        if not data:
            raise self._lost("the other side closed it")
        return data

    def _lost(self, why: str) -> SensorError:
        return SensorError(f"The connection to {self._host} port {self._port} ended: {why}.")
