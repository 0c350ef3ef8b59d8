"""The line to an instrument that answers: one question out, one answer in."""

from sensors.lines import LONGEST_LINE
from sensors.port import Port
from sensors.scpi_answers import AnswerBuffer


class ScpiLine:
    """Questions out, answers in."""

    def __init__(self, port: Port) -> None:
        self._port, self._buffer = port, AnswerBuffer()

    def send(self, text: str) -> None:
        """Send a command or a question."""
        self._port.write(text.encode("ascii") + b"\n")

    def ask(self, query: str) -> bytes:
        """Give the line that comes back: without its end, or empty, when it came too late."""
        self.send(query)
        while data := self._port.read(max(1, min(self._port.in_waiting, LONGEST_LINE))):
            if (answer := self._buffer.feed(data)) is not None:
                return answer
        return self._buffer.take_rest()

    def take_unasked(self) -> bytes:
        """Take what came since the last answer: it would be taken for the answer to the next."""
        unasked = self._buffer.take_rest()
        while len(unasked) < LONGEST_LINE and (waiting := self._port.in_waiting):
            unasked += self._port.read(waiting)
        return unasked
