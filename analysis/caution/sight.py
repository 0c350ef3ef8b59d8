"""What the cautions are weighed by, at one moment."""

from dataclasses import dataclass, field

from analysis.caution.boil import Boil
from analysis.caution.climb import Climb
from analysis.caution.drop import Drop
from analysis.caution.fall import Fall
from analysis.caution.freezing import Freezing
from analysis.caution.hush import Hush
from analysis.caution.plateau import Plateau
from analysis.caution.rise import SuddenRise
from analysis.pace import Pace
from analysis.snapshot import CautionKind


@dataclass(slots=True)
class Sight:
    """What can be seen at one moment."""

    time_s: float
    pull_s: float  # start of the pull: the first reading, or the last break of the vacuum
    pressure_pa: float | None
    pace: Pace
    noise_pa: float | None
    fall_s: float | None
    circuit_c: float
    silent_s: float
    silence_s: float  # so long without a reading is told
    quiet_s: float  # watched without a burst
    is_isolated: bool
    is_proven: bool  # an isolation in this pull showed next to no rise
    is_flat: bool
    boil: Boil
    is_broken: bool = False  # by mark: nitrogen is in
    standing: frozenset[CautionKind] = frozenset()
    fall: Fall = field(default_factory=Fall)
    drop: Drop = field(default_factory=Drop)
    sudden: SuddenRise = field(default_factory=SuddenRise)
    climb: Climb = field(default_factory=Climb)
    hush: Hush = field(default_factory=Hush)
    plateau: Plateau = field(default_factory=Plateau)
    freezing: Freezing = field(default_factory=Freezing)

    @property
    def is_silent(self) -> bool:
        """Whether no reading has come for too long."""
        return self.silent_s >= self.silence_s
