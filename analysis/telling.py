"""What a snapshot says that one more reading does not change."""

from analysis.closing.closings import Closings
from analysis.judging import Judging
from analysis.pump.pulls import PullBook
from analysis.pump.pumping import Pumping
from analysis.snapshot import Caution, FlatEstimate, Snapshot


def tell(
    time_s: float,
    *,
    judging: Judging,
    cautions: tuple[Caution, ...],
    closings: Closings,
    pulls: PullBook,
    flat: FlatEstimate,
    boiling_pa: float | None,
    pumping: Pumping,
) -> Snapshot:
    """Give what changes at a judgement, a mark or a burst only; the rest is left empty.

    Parameters
    ----------
    time_s
        Now.
    judging, closings, pulls
        The parts that are asked.
    cautions
        Those that stand.
    flat
        The forecast.
    boiling_pa
        The water's boiling pressure at the circuit's temperature.
    pumping
        What is known of the pumping.
    """
    stages, standing = judging.stages, closings.standing
    return Snapshot(
        time_s=time_s,
        pressure_pa=None,
        temperature_c=None,
        status="ok",
        bursts=(),
        caution_changes=(),
        gap=None,
        noise_pa=None,
        smallest_burst_pa=None,
        slope_pa_per_s=None,
        stage=stages.stage,
        stage_since_s=stages.since_s,
        stage_reason=stages.reason,
        cautions=cautions,
        burst_count=judging.burst_count,
        last_onset_s=judging.last_onset_s,
        flat=flat,
        flat_reached_s=judging.flat_reached_s,
        boiling_pa=boiling_pa,
        hold=standing.result,
        hold_from_s=standing.from_s,
        isolation=standing.isolation,
        pumping=pumping,
        isolations=standing.isolations,
        offered=closings.unmarked.offered,
        pull=pulls.number,
        pulls=pulls.pulls,
        blank_off=closings.rig.result,
    )
