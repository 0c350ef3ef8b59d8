"""Listening to a gauge before it is read: what the dialog shows, polled from the window's timer."""

from collections.abc import Callable
from dataclasses import dataclass
from queue import Empty

from app.gauge.link import Failed, Link
from app.gauge.listen import Listening, Proposal
from app.gauge.listen_phrases import listen_phrases
from app.gauge.profiles import Profile, save_new_profile
from app.system.errors import UsageError
from app.words.sentences import Words
from sensors.address import is_host_and_port, parse_address, with_options
from sensors.catalogue import open_listener
from sensors.events import Lost, Rejected, Sensor, SensorError


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to read the lines: said with the value it gives now, and its address."""

    text: str
    address: str


@dataclass(frozen=True, slots=True)
class Heard:
    """What is heard so far."""

    lines: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    trouble: str = ""


class ListenDesk:
    """Listens on a link of its own until it is closed.

    Parameters
    ----------
    address
        Of a line of text: serial or network.
    words
        Writes the values.
    opener
        Makes the sensor that gives every line.

    Raises
    ------
    UsageError
        If the address cannot be listened to.
    """

    def __init__(
        self, address: str, words: Words, *, opener: Callable[[str], Sensor] = open_listener
    ) -> None:
        self._words, self._opener = words, opener
        self._phrases = listen_phrases(words.translate)
        self._link = Link()
        self._begin(address)

    def _begin(self, address: str) -> None:
        try:
            sensor = self._opener(address)
        except SensorError as error:
            raise UsageError(str(error)) from error
        self._address = address
        self._listening = Listening(address)
        self._lost = ""
        self._link.start(sensor)

    @property
    def next_rate(self) -> int | None:
        """The speed of the line to try next, baud; ``None`` where a line has none."""
        parsed = parse_address(self._address)
        # A converter in the network has the line's speed set at itself.
        is_line = parsed.kind == "serial" and not is_host_and_port(parsed.target)
        return self._listening.next_rate if is_line else None

    @property
    def rate(self) -> int | None:
        """The present speed of the line, baud; ``None`` where a line has none."""
        return None if self.next_rate is None else self._listening.rate

    def try_next_rate(self) -> None:
        """Listen at the next speed: what was heard so far is forgotten."""
        rate = self.next_rate
        if rate is not None:
            self._link.stop()
            while not self._link.events.empty():
                self._link.events.get()
            self._begin(with_options(self._address, {"baud": str(rate)}))

    def hear(self) -> Heard:
        """Take in what has come since, and give all that is known."""
        while True:
            try:
                event = self._link.events.get_nowait()
            except Empty:
                break
            if isinstance(event, Lost | Failed):
                self._lost = event.why
            elif isinstance(event, Rejected):
                self._lost = ""
            self._listening.take(event)
        trouble = self._listening.trouble
        said = "" if trouble is None else self._words.by_phrases(trouble, self._phrases)
        choices = tuple(self._choice(each) for each in self._listening.proposals())
        return Heard(self._listening.lines, choices, self._lost or said)

    def close(self) -> None:
        """Stop listening, and let go of the port."""
        self._link.close()

    def _choice(self, proposal: Proposal) -> Choice:
        text = self._words.translate("Listen", "Field {field}: now {value}. {why}").format(
            field=proposal.field or "1",
            value=self._words.pressure(proposal.pressure_pa),
            why=" ".join(self._words.by_phrases(r, self._phrases) for r in proposal.reasons),
        )
        return Choice(text, self._listening.address(proposal))


def keep_as_profile(name: str, address: str) -> str:
    """Save a gauge under a new name; give why not, or nothing."""
    try:
        save_new_profile(Profile(name.strip(), address))
    except UsageError as error:
        return str(error)
    return ""
