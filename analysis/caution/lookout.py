"""What the cautions are weighed by, gathered from the parts that know it."""

from analysis.burst.detector import BurstDetector
from analysis.caution.sight import Sight
from analysis.caution.signs import GONE_PER_S, QUIET_S, can_be_ice
from analysis.closing.closings import Closings
from analysis.gauge.gaps import GapFinder
from analysis.gauge.gauge_state import GaugeState
from analysis.judging import Judging, Silence
from analysis.pace import Pace
from analysis.rules import EvacuationRules
from analysis.snapshot import CautionKind
from analysis.water import boiling_pressure_pa

SILENT_READINGS = 3.0  # so many of a slow gauge's own pauses are silence [practice]
LEAVING_S = 120.0  # a level's pace is told over that
BLINDING: frozenset[CautionKind] = frozenset({"sudden-rise", "rising", "gauge-shut-off", "ice"})


class Lookout:
    """Fills one and the same :class:`Sight` anew at each tick.

    Parameters
    ----------
    rules
        The settings.
    gauge, gaps, detector, pace, judging, closings
        The parts that are asked.

    Attributes
    ----------
    boiling_pa
        The water's boiling pressure at the circuit's temperature when it was last looked at.
    """

    def __init__(
        self,
        rules: EvacuationRules,
        *,
        gauge: GaugeState,
        gaps: GapFinder,
        detector: BurstDetector,
        pace: Pace,
        judging: Judging,
        closings: Closings,
    ) -> None:
        self._rules = rules
        self._gauge, self._gaps, self._detector = gauge, gaps, detector
        self._judging, self._closings = judging, closings
        self.boiling_pa: float | None = None
        self._sight = Sight(
            time_s=0.0,
            pull_s=0.0,
            pressure_pa=None,
            pace=pace,
            noise_pa=None,
            fall_s=None,
            circuit_c=rules.circuit_c,
            silent_s=0.0,
            silence_s=rules.silence_s,
            quiet_s=0.0,
            is_isolated=False,
            is_proven=False,
            is_flat=False,
            boil=judging.boil,
        )

    def judge_by(self, rules: EvacuationRules) -> None:
        """Look by other limits."""
        self._rules = rules

    def look(self, time_s: float, pull_s: float, *, closely: bool = True) -> Sight:
        """Give what can be seen at ``time_s``, in the pull that began at ``pull_s``.

        Only a close look brings up to date what moves slowly.
        """
        sight, gauge, judging = self._sight, self._gauge, self._judging
        sight.time_s, sight.pull_s = time_s, pull_s
        sight.pressure_pa = gauge.pressure_pa
        sight.silent_s = gauge.silent_s(time_s)
        sight.silence_s = max(self._rules.silence_s, SILENT_READINGS * (self._gaps.steady_s or 0.0))
        sight.is_isolated = self._closings.is_cut_off
        if not closely:
            return sight
        sight.circuit_c = gauge.circuit_c(self._rules.circuit_c)
        self.boiling_pa = boiling_pressure_pa(sight.circuit_c)
        sight.noise_pa, sight.fall_s = self._detector.noise_pa, self._detector.fall_s
        sight.quiet_s, sight.is_proven = judging.quiet_s, judging.is_proven
        sight.is_flat = judging.stages.stage == "flat"
        return sight

    @property
    def silence(self) -> Silence:
        """What the silence since the last burst is worth: sound, sudden, or none at all.

        What boiled before may have been frozen where a level that was never yet low enough for flat
        falls away after a long silence: gas that fades never does.
        """
        sight = self._sight
        if "ice" in sight.standing or (self._is_leaving() and sight.quiet_s >= QUIET_S):
            return "none"
        return "sudden" if sight.hush.is_sudden else "sound"

    def _is_leaving(self) -> bool:
        """Whether what boiled falls away from where ice may have held it."""
        sight = self._sight
        under_s = sight.fall.under_s(self._rules.flat_below_pa)
        if not sight.boil.has_boiled or sight.time_s - (under_s or sight.time_s) > LEAVING_S:
            return False
        from_pa = max((pa for _, pa in sight.pace.levels(LEAVING_S)), default=0.0)
        change_per_s = sight.pace.change_per_s(LEAVING_S)
        has_left = change_per_s is not None and change_per_s < -GONE_PER_S
        return has_left and from_pa > self._rules.flat_below_pa and can_be_ice(from_pa)

    def is_clear(self, cautions: frozenset[CautionKind]) -> bool:
        """Whether a visible burst would be seen now, if the circuit is watched."""
        return cautions.isdisjoint(BLINDING) and self._detector.is_observing
