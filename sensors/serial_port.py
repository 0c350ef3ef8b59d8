"""A gauge on a serial port, read by pyserial on a thread of its own."""

import threading
from contextlib import suppress

from sensors.clock import Clock, now_s
from sensors.events import Connected, Emit
from sensors.line_decoder import LineDecoder
from sensors.on_thread import run_on_thread
from sensors.port import DEFAULT_BAUD, GONE, Port, gone, open_port
from sensors.query import ASK_LOOK_S, Asker, Query
from sensors.tcp import QUIET_S
from sensors.text_decoder import TextDecoder, TextFormat


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
    query
        What to ask a gauge that speaks only when asked.
    decoder
        Reads the lines instead of ``text_format``.
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
        query: Query | None = None,
        decoder: LineDecoder | None = None,
        name: str | None = None,
        clock: Clock = now_s,
    ) -> None:
        self.name = name or f"serial:{port}?baud={baud}"
        self._port, self._baud = port, baud
        self._query = query
        self._decoder: LineDecoder = decoder or TextDecoder(text_format)
        self._clock = clock

    async def run(self, emit: Emit) -> None:
        """Read until the port is gone (``SensorError``) or the task is cancelled."""
        await run_on_thread(lambda stop: self._read(emit, stop))

    def _read(self, emit: Emit, stop: threading.Event) -> None:
        """Open, read and close: all on the calling thread."""
        look_s = QUIET_S if self._query is None else ASK_LOOK_S
        port = open_port(self._port, self._baud, look_s)
        try:
            emit(Connected(self._clock(), f"{self._port} at {self._baud} baud"))
            self._decoder.restart()
            asker = Asker(self._query, self._clock() + QUIET_S) if self._query else None
            quiet_looks = 0
            while not stop.is_set():
                if asker is not None:
                    self._ask(port, asker)
                data = self._read_some(port)
                quiet_looks = 0 if data else quiet_looks + 1
                if quiet_looks * look_s >= QUIET_S:
                    self._decoder.mark_quiet()
                events = self._decoder.feed(data, self._clock())
                if events and asker is not None:
                    asker.answered()
                for event in events:
                    emit(event)
        finally:
            for rejected in self._decoder.end(self._clock()):
                emit(rejected)
            with suppress(*GONE):
                port.close()

    def _ask(self, port: Port, asker: Asker) -> None:
        question = asker.due(self._clock())
        if question is None:
            return
        try:
            port.write(question)
        except GONE as error:
            raise gone(self._port, error) from None

    def _read_some(self, port: Port) -> bytes:
        try:
            data: bytes = port.read(1)
            if data and port.in_waiting:
                data += port.read(min(port.in_waiting, 4096))
        except GONE as error:
            raise gone(self._port, error) from None
        return data
