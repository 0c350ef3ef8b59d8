"""A gauge that answers SCPI questions (IEEE 488.2), on a serial port or over TCP."""

import re
import threading
from contextlib import suppress
from dataclasses import replace

from sensors.address import is_host_and_port
from sensors.clock import Clock, now_s
from sensors.events import Connected, Emit, Reading, Rejected, SensorError
from sensors.lines import LONGEST_LINE
from sensors.on_thread import run_on_thread
from sensors.port import DEFAULT_BAUD, GONE, Port, gone, open_port
from sensors.text_decoder import TextDecoder, TextFormat

# SCPI-1999, volume 2, MEASure:PRESsure? [from memory].
DEFAULT_QUERY = "MEAS:PRES?"
# SCPI's default unit of pressure is the pascal [from memory].
DEFAULT_UNIT = "pa"
# Thermal gauges answer within a reading, slow ones average for a second (practice, no source).
_ANSWER_S = 2.0
# SCPI-1999, volume 1, 21.8: a number, and a text in quotes; 0 is "no error" [from memory].
_ERROR = re.compile(rb'\s*[+-]?[0-9]+\s*,\s*".*"\s*')
_NO_ERROR = re.compile(rb"\s*[+-]?0+\s*,")


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
        told = text_format or TextFormat()
        self._format = replace(told, unit=told.unit or DEFAULT_UNIT, delimiter=",")
        self._every_s, self._clock = every_s, clock

    async def run(self, emit: Emit) -> None:
        """Ask until the instrument is gone (``SensorError``) or the task is cancelled."""
        await run_on_thread(lambda stop: self._read(emit, stop))

    def _read(self, emit: Emit, stop: threading.Event) -> None:
        is_network = is_host_and_port(self._target)
        url = f"socket://{self._target}" if is_network else self._target
        port = open_port(url, self._baud, _ANSWER_S)
        try:
            identity = self._identify(port)
            emit(Connected(self._clock(), identity))
            while not stop.is_set():
                if unasked := _drain(port):
                    emit(Rejected(self._clock(), unasked, "it came unasked, or too late"))
                for event in self._ask_pressure(port):
                    emit(event)
                stop.wait(self._every_s)
        except GONE as error:
            raise gone(self._target, error) from None
        finally:
            with suppress(*GONE):
                port.close()

    def _identify(self, port: Port) -> str:
        # Errors of an earlier visitor are none of ours.
        port.write(b"*CLS\n")
        _drain(port)
        identity = _ask(port, "*IDN?")
        if not identity:
            raise SensorError(
                f"{self._target} does not answer *IDN? within {_ANSWER_S:g} s; "
                "expected an instrument that speaks SCPI (is the baud rate right?)."
            )
        return identity.decode("latin-1").strip()

    def _ask_pressure(self, port: Port) -> list[Reading | Rejected]:
        answer = _ask(port, self._query)
        time_s = self._clock()
        events = decode_answer(self._format, answer, time_s)
        if all(isinstance(event, Reading) for event in events):
            return events
        error = _ask(port, "SYST:ERR?")
        if not answer and not error:
            raise SensorError(f"{self._target} no longer answers {self._query}.")
        if not _ERROR.fullmatch(error) or _NO_ERROR.match(error):
            return events
        told = f"; the instrument's error: {error.decode('latin-1').strip()}"
        return [
            Rejected(event.time_s, event.raw, event.why + told)
            if isinstance(event, Rejected)
            else event
            for event in events
        ]


def decode_answer(
    text_format: TextFormat, answer: bytes, time_s: float
) -> list[Reading | Rejected]:
    """Give what one answer says: never nothing."""
    if not answer:
        return [Rejected(time_s, answer, "no answer")]
    if not answer.endswith(b"\n"):
        return [Rejected(time_s, answer, "the answer has no end")]
    decoder = TextDecoder(text_format, is_start_whole=True)
    return decoder.feed(answer, time_s) or [Rejected(time_s, answer, "the answer is no number")]


def _drain(port: Port) -> bytes:
    """Take what came since the last answer: it would be taken for the answer to the next."""
    unasked = b""
    while len(unasked) < LONGEST_LINE and (waiting := port.in_waiting):
        unasked += port.read(waiting)
    return unasked


def _ask(port: Port, query: str) -> bytes:
    """Send a question and give the line that comes back, empty when none came in time."""
    port.write(query.encode("ascii") + b"\n")
    answer = b""
    while not answer.endswith(b"\n") and len(answer) < LONGEST_LINE:
        if not (byte := port.read(1)):
            break
        answer += byte
    return answer
