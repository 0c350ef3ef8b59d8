"""A level that went up to over twice what it was within a minute, and stays there."""

from analysis.pace import STEP_S

# Bursts fall within 200 s at the slowest, so that two minutes without a fall are none, and what
# was as high within the ten minutes before comes back only: a gauge that was shut off or dropped
# out.
STAYS, BETWEEN, BEFORE = 12, 6, 60  # levels
TIMES, NOISES, EVEN = 2.0, 10.0, 0.1
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
