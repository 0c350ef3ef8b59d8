"""One account of the trace so far: a filter's state, and the events it holds to have happened."""

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from analysis.burst.pumpdown_filter import State

Kind = Literal["burst", "glitch", "step", "bend"]

# Log prior of each kind at one sample. Bursts come every 10 to 600 s; a valve is moved a few
# times a job; a gauge glitches on less than one reading in a hundred. Orders of magnitude only:
# the evidence of an event is tens of such units.
LOG_PRIOR: dict[Kind, float] = {"burst": -6.0, "glitch": -6.0, "step": -13.0, "bend": -13.0}


class Event(NamedTuple):
    """Something an explanation holds to have happened, with the forecast from just before it."""

    kind: Kind
    time_s: float
    before: State
    before_fall_s: float
    before_rise_s: float
    fall_s: float
    rise_s: float

    def is_like(self, other: "Event", tolerance_s: float) -> bool:
        """Whether the other is of the same kind and at about the same time."""
        return self.kind == other.kind and abs(self.time_s - other.time_s) <= tolerance_s


@dataclass(slots=True)
class Explanation:
    """One account of the trace so far.

    Attributes
    ----------
    off
        The newest sample's deviation from its forecast, in standard deviations.
    unrest, restless
        Variance that the level or the slope still gains while a step of it comes in through the
        gauge's lag, Pa^2 or Pa^2/s^2, and its place in the state.
    sort
        The kinds of its events in order, and the time constant that sets it apart.
    """

    state: State
    fall_s: float
    rise_s: float
    log_weight: float = 0.0
    events: tuple[Event, ...] = ()
    off: float = 0.0
    last_onset_s: float = float("-inf")
    unrest: float = 0.0
    restless: int = 4
    sort: tuple[float, tuple[Kind, ...]] = field(init=False)

    def __post_init__(self) -> None:
        self.hold(self.events)

    def hold(self, events: tuple[Event, ...]) -> None:
        """Hold these events, and no others, to have happened."""
        self.events = events
        constant_s = self.rise_s if events else self.fall_s
        self.sort = constant_s, tuple([event.kind for event in events])

    @property
    def newest(self) -> Kind:
        """The kind of its last event; as of a burst where there is none."""
        return self.events[-1].kind if self.events else "burst"

    def moves_otherwise(self, event: Event, until_s: float) -> bool:
        """Whether the base line is held to have stepped or bent until then, but by this event."""
        return any(
            other.kind in ("step", "bend") and other.time_s < until_s and other is not event
            for other in self.events
        )

    def event(self, kind: Kind, time_s: float, fall_s: float, rise_s: float) -> Event:
        """Return an event that happens to this explanation now."""
        return Event(kind, time_s, self.state, self.fall_s, self.rise_s, fall_s, rise_s)

    def has(self, event: Event, tolerance_s: float) -> bool:
        """Whether an event like this one happened."""
        for other in self.events:  # asked of all explanations: a generator takes twice as long
            if event.is_like(other, tolerance_s):
                return True
        return False

    def has_bent_since(self, time_s: float) -> bool:
        """Whether the base line took another slope after that time."""
        for event in self.events:  # asked of all that branch: see ``has``
            if event.kind == "bend" and event.time_s > time_s:
                return True
        return False

    def were_wild(self, time_s: float, apart_s: float) -> bool:
        """Whether this sample and the one before are both held to say nothing.

        Two wild readings may fall next to each other by chance; three are something else.
        """
        newest = self.events[-2:]
        return (
            [event.kind for event in newest] == ["glitch", "glitch"]
            and newest[1].time_s >= time_s
            and newest[0].time_s >= time_s - apart_s
        )

    def is_twin(self, other: "Explanation", within_pa: float) -> bool:
        """Whether both see the present in the same way, whatever the past."""
        mine, theirs = self.state, other.state
        return (
            abs(theirs[0] - mine[0]) < within_pa
            and abs(theirs[1] - mine[1]) < within_pa  # over a second
            and abs(theirs[2] - mine[2]) < within_pa
            and abs(theirs[3] - mine[3]) < within_pa
            and (
                abs(other.fall_s - self.fall_s) < 0.2 * self.fall_s
                or abs(mine[2]) + abs(mine[3]) < within_pa  # no vapour left to fall
            )
        )
