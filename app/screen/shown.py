"""What the window shows, whole and frozen: texts and numbers that are ready to be drawn."""

from dataclasses import dataclass, field
from typing import Literal

Tone = Literal["calm", "good", "attention", "danger"]
Phase = Literal["idle", "opening", "running", "over", "only-read"]
WalkPage = Literal[
    "none", "close-valve", "isolating", "pump-off", "vent-pump", "even-out", "holding", "finding"
]
WALK: tuple[WalkPage, ...] = (
    "close-valve",
    "pump-off",
    "vent-pump",
    "even-out",
    "holding",
    "finding",
)


@dataclass(frozen=True, slots=True)
class Line:
    """A short text with its tone; a sign is drawn beside it, so that colour is never alone.

    ``detail`` is for whoever asks, as in a tool tip.
    """

    text: str = ""
    tone: Tone = "calm"
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Passage:
    """A heading with what stands under it."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LimitLine:
    """One limit of a hold, as shown: passed or not, and where the limit comes from."""

    text: str
    passed: bool
    source: str


@dataclass(frozen=True, slots=True)
class HoldScreen:
    """The walk through a standing test: where it stands and what to do now.

    ``forward`` and ``back`` are the texts of the two buttons; an empty one is not shown. ``kinds``
    are the kinds of circuit to choose from (code, text), while that may be asked.
    """

    page: WalkPage = "none"
    title: str = ""
    instruction: str = ""
    warning: str = ""
    clock: str = ""
    finding: Line = Line()
    reasons: tuple[str, ...] = ()
    limits: tuple[LimitLine, ...] = ()
    end: str = ""  # whether the hold may end
    may_end: bool = False
    kinds: tuple[tuple[str, str], ...] = ()
    kind: str = ""
    forward: str = ""
    back: str = ""


@dataclass(frozen=True, slots=True)
class Alarm:
    """Something to be seen and heard from across the workshop."""

    code: str
    title: str
    text: str
    tone: Tone


@dataclass(frozen=True, slots=True)
class Screen:
    """All texts of one moment. ``sign`` names the picture beside the verdict."""

    phase: Phase = "idle"
    verdict: str = ""
    tone: Tone = "calm"
    sign: str = "idle"
    why: tuple[Passage, ...] = ()
    next_step: str = ""
    pressure: str = "–"
    unit: str = ""
    temperature: str = ""
    at_pump: str = ""  # what a second gauge shows, small beside the pressure
    sensor: Line = Line()
    saved: Line = Line()
    title: str = ""
    elapsed: str = ""
    lull_note: str = ""
    hold: HoldScreen = field(default_factory=HoldScreen)
    alarm: Alarm | None = None
    can_hold: bool = False
    can_mark: bool = False
    is_prompting: bool = False
    is_invented: bool = False
    parts_done: tuple[str, ...] = ()
    wants_gauge: bool = False
    offer: str = ""
    blank_off: tuple[str, ...] = ()  # what the blank-off test shows, running or last
    is_blanking: bool = False
    tells_blank_off: bool = False  # while it runs, and until the pull after it boils
    isolation: str = ""  # how the last one rose, set beside the one before
    cut_off: str = ""  # asks about a closing that the trace shows and nobody marked
    progress: float | None = None

    @property
    def can_fill_in(self) -> bool:
        """Whether what is typed and ticked is kept: a job being opened would write over it."""
        return self.phase not in ("opening", "only-read")
