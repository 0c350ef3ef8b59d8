"""A gauge that answers SCPI questions (IEEE 488.2), on a serial port or over TCP."""

import threading
from contextlib import suppress

from sensors.address import is_host_and_port
from sensors.clock import Clock, now_s
from sensors.events import Connected, Emit, Reading, Rejected, SensorError
from sensors.on_thread import run_on_thread
from sensors.port import DEFAULT_BAUD, GONE, gone, open_port
from sensors.scpi_answers import answer_format, decode_answer, with_error
from sensors.scpi_line import ScpiLine
from sensors.text_decoder import TextFormat

# SCPI-1999, volume 2, MEASure:PRESsure? [from memory].
DEFAULT_QUERY = "MEAS:PRES?"
# Thermal gauges answer within a reading, slow ones average for a second (practice, no source).
_ANSWER_S = 2.0


class ScpiSensor:
    """Ask an instrument for its pressure, again and again.

    Numbers may be NR1, NR2 or NR3; fields are separated by commas (IEEE 488.2, 8.7). An answer
    that is no pressure, or none at all, is rejected with what the error queue says of it.

    Parameters
    ----------
    target
        A serial device, ``HOST:NUMBER`` (a raw socket), or ``rfc2217://HOST:NUMBER``.
    query
        What to send.
    text_format
        ``field``, ``unit`` and ``temperature`` of the answer; its delimiter is the comma.
    every_s
        Time from an answer to the next question, > 0.
    baud
        Bits a second on a serial line.
    name
        The address.
    clock
        Seconds that count through sleep; called on the reading thread.
    """

    def __init__(
        self,
        target: str,
        query: str = DEFAULT_QUERY,
        text_format: TextFormat | None = None,
        *,
        every_s: float = 0.5,
        baud: int = DEFAULT_BAUD,
        name: str | None = None,
        clock: Clock = now_s,
    ) -> None:
        self.name = name or f"scpi:{target}"
        self._target, self._baud = target, baud
        self._query = query if "?" in query else query + "?"
        self._format = answer_format(text_format)
        self._every_s, self._clock = every_s, clock

    async def run(self, emit: Emit) -> None:
        """Ask until the instrument is gone (``SensorError``) or the task is cancelled."""
        await run_on_thread(lambda stop: self._read(emit, stop))

    def _read(self, emit: Emit, stop: threading.Event) -> None:
        is_network = is_host_and_port(self._target)
        url = f"socket://{self._target}" if is_network else self._target
        port = open_port(url, self._baud, _ANSWER_S)
        line = ScpiLine(port)
        try:
            emit(Connected(self._clock(), self._identify(line)))
            while not stop.is_set():
                if unasked := line.take_unasked():
                    emit(Rejected(self._clock(), unasked, "it came unasked, or too late"))
                for event in self._ask_pressure(line):
                    emit(event)
                stop.wait(self._every_s)
        except GONE as error:
            raise gone(self._target, error) from None
        finally:
            with suppress(*GONE):
                port.close()

    def _identify(self, line: ScpiLine) -> str:
        line.send("*CLS")  # errors of an earlier visitor are none of ours
        line.take_unasked()
        identity = line.ask("*IDN?")
        if not identity:
            raise SensorError(
                f"{self._target} does not answer *IDN? within {_ANSWER_S:g} s; "
                "expected an instrument that speaks SCPI (is the baud rate right?)."
            )
        return identity.decode("latin-1").strip()

    def _ask_pressure(self, line: ScpiLine) -> list[Reading | Rejected]:
        answer = line.ask(self._query)
        events = decode_answer(self._format, answer, self._clock())
        if all(isinstance(event, Reading) for event in events):
            return events
        error = line.ask("SYST:ERR?")
        if not answer and not error:
            raise SensorError(f"{self._target} no longer answers {self._query}.")
        return with_error(events, error)
