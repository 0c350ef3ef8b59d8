"""A level that went up to over twice what it was within a minute, and stays there."""

from itertools import pairwise

from analysis.middle import median
from analysis.pace import STEP_S

# Bursts fall within 200 s at the slowest, so that two minutes without a fall are none, and what
# was as high within the ten minutes before comes back only: a gauge that was shut off or dropped
# out.
STAYS, BETWEEN, BEFORE = 12, 6, 60  # levels
TIMES, NOISES, EVEN = 2.0, 10.0, 0.1
# After two flat intervals at its new height it is told no more [practice]: what the pump holds in
# balance does not rise, while what is cut off from it does, be it ever more slowly.
STANDS = 120  # levels
# From the first third to the last a straight rise gains 4/3 of what lies between the quartiles.
SWAYS = 0.5
# From a tenth of the way to nine tenths what comes to a new balance under the pump takes
# ln 9 / ln 1.8 = 3.7 times as long as to half of it; what is cut off climbs straight, twice.
BENT, WAY = 2.7, (0.1, 0.5, 0.9)
LONGEST_S = 1.5 * (STAYS + BETWEEN + BEFORE) * STEP_S  # of a longer stretch too much is missing


def stepped_up(steps: list[tuple[float, float]], noise_pa: float) -> tuple[float, float] | None:
    """Tell when it went up, and from what level.

    Parameters
    ----------
    steps
        Time, s, and level, Pa, of the last ten-second levels, oldest first.
    noise_pa
        Of a reading.

    Returns
    -------
    tuple or None
        Time, s, and level, Pa, of the last level before; ``None`` where it did not.
    """
    if len(steps) < STAYS + BETWEEN + BEFORE:
        return None
    since = [level_pa for _, level_pa in steps[-STAYS:]]
    low_pa, foot = min(since), steps[-STAYS - BETWEEN - 1]
    if low_pa <= TIMES * foot[1]:
        return None  # by far most often
    before = steps[-STAYS - BETWEEN - BEFORE : -STAYS - BETWEEN]
    rise_pa = low_pa - max(level_pa for _, level_pa in before)
    if rise_pa < max(low_pa / TIMES, NOISES * noise_pa) or steps[-1][0] - before[0][0] > LONGEST_S:
        return None
    return foot if max(since) - low_pa < EVEN * rise_pa + 2.0 * noise_pa else None


def stands(steps: list[tuple[float, float]], from_s: float, gained_pa: float) -> bool:
    """Tell whether a level that stepped up has stood where it came to for long.

    Parameters
    ----------
    steps
        Time, s, and level, Pa, of the last ten-second levels, oldest first.
    from_s
        When it stepped up.
    gained_pa
        By how much.
    """
    since = [level_pa for time_s, level_pa in steps[-STANDS:] if time_s > from_s + BETWEEN * STEP_S]
    third = STANDS // 3
    if len(since) < STANDS:
        return False
    rose_pa, ordered = median(since[-third:]) - median(since[:third]), sorted(since)
    within_pa = ordered[(3 * STANDS) // 4] - ordered[STANDS // 4]
    return rose_pa <= min(SWAYS * within_pa, EVEN * gained_pa)


def bent(steps: list[tuple[float, float]], foot: tuple[float, float]) -> bool | None:
    """Tell whether what rose from its foot slackened as what the pump holds in balance does.

    Parameters
    ----------
    steps
        Time, s, and level, Pa, of the last ten-second levels, oldest first.
    foot
        Time, s, and level, Pa, it rose from.

    Returns
    -------
    bool or None
        ``None`` where these levels do not reach back so far.
    """
    from_s, foot_pa = foot
    if steps[0][0] > from_s:
        return None
    gained_pa = median(level_pa for _, level_pa in steps[-STAYS:]) - foot_pa
    since = [step for step in steps if step[0] >= from_s]
    first_s, half_s, most_s = (_passes_s(since, foot_pa + share * gained_pa) for share in WAY)
    return most_s - first_s > BENT * (half_s - first_s)


def _passes_s(steps: list[tuple[float, float]], level_pa: float) -> float:
    """Give when it first came over a level, between two steps."""
    for (before_s, before_pa), (at_s, at_pa) in pairwise(steps):
        if at_pa > level_pa:
            share = (level_pa - before_pa) / (at_pa - before_pa) if before_pa < level_pa else 0.0
            return before_s + share * (at_s - before_s)
    return steps[-1][0]
