"""Where the few, large, round ticks of each axis stand, and what they say."""

import math
from collections.abc import Iterable

import numpy as np

from app.words import display
from sensors.units import PA_PER_UNIT

Ticks = list[tuple[float, str]]

_MINUTE_S = 60.0
_HOUR_S = 3600.0
_TIME_STEPS_S = (
    *(1.0, 2.0, 5.0, 10.0, 20.0, 30.0),
    *(m * _MINUTE_S for m in (1, 2, 5, 10, 15, 20, 30)),
    *(h * _HOUR_S for h in (1, 2, 3, 4, 6, 12, 24, 48, 96, 168)),
)
_LULLS_S = (
    *(0.1, 0.3, 1.0, 3.0, 10.0, 30.0),
    *(m * _MINUTE_S for m in (1, 3, 10, 30)),
    *(h * _HOUR_S for h in (1, 3, 10, 30, 100)),
)


def time_ticks(low_s: float, high_s: float, at_most: int, zero_s: float = 0.0) -> Ticks:
    """Round times since ``zero_s``, as h:mm, and h:mm:ss where minutes are too coarse.

    Examples
    --------
    >>> time_ticks(0.0, 7200.0, 5)
    [(0.0, '0:00'), (1800.0, '0:30'), (3600.0, '1:00'), (5400.0, '1:30'), (7200.0, '2:00')]
    """
    span_s = high_s - low_s
    step_s = next((s for s in _TIME_STEPS_S if span_s / s < at_most), _TIME_STEPS_S[-1])
    first = math.ceil((low_s - zero_s) / step_s - 1e-9)
    last = math.floor((high_s - zero_s) / step_s + 1e-9)
    whole = step_s % _MINUTE_S == 0.0
    return [(zero_s + n * step_s, clock(n * step_s, whole)) for n in range(first, last + 1)]


def clock(time_s: float, is_whole_minutes: bool = True) -> str:
    """Write a time since the start as h:mm, or with its seconds.

    Examples
    --------
    >>> clock(3725.0), clock(3725.0, False), clock(-90.0, False)
    ('1:02', '1:02:05', '−0:01:30')
    """
    sign = "−" if time_s < 0 else ""
    minutes, seconds = divmod(round(abs(time_s)), 60)
    text = f"{sign}{minutes // 60}:{minutes % 60:02d}"
    return text if is_whole_minutes else f"{text}:{seconds:02d}"


def pressure_ticks(low_pa: float, high_pa: float, at_most: int, unit: str) -> Ticks:
    """Round pressures of a linear axis: positions in Pa, texts in the unit.

    Examples
    --------
    >>> [(round(at_pa, 2), text) for at_pa, text in pressure_ticks(10.0, 40.0, 4, "micron")]
    [(13.33, '100'), (26.66, '200'), (40.0, '300')]
    """
    scale = PA_PER_UNIT[unit]
    span = (high_pa - low_pa) / scale
    step = round_step(span / max(at_most, 1))
    if step > span:  # a 5 where 4 and a bit are seen: it may lie outside, and a 2 fits
        step *= 0.4
    numbers = range(
        math.ceil(low_pa / scale / step - 1e-9), math.floor(high_pa / scale / step + 1e-9) + 1
    )
    digits = max(0, -math.floor(math.log10(step) + 1e-9))
    return [(n * step * scale, _grouped(n * step, digits)) for n in numbers]


def log_pressure_ticks(low: float, high: float, at_most: int, unit: str) -> Ticks:
    r"""Round pressures of a log axis: positions as log10 of Pa, texts in the unit.

    Examples
    --------
    >>> [text.replace("\xa0", " ") for _, text in log_pressure_ticks(1.5, 5.0, 5, "micron")]
    ['1 000', '10 000', '100 000']
    """
    shift = math.log10(PA_PER_UNIT[unit])
    decades = range(math.floor(low - shift), math.ceil(high - shift) + 1)
    for mantissas in ((1, 2, 5), (1, 3), (1,)):
        ticks = [
            (math.log10(m) + d + shift, display.number(m * 10.0**d))
            for d in decades
            for m in mantissas
        ]
        kept = _within(ticks, low, high)
        if len(kept) <= at_most:
            return kept
    every = math.ceil(len(kept) / max(at_most, 1))
    return kept[::every]


def lull_ticks(low: float, high: float, at_most: int) -> Ticks:
    """Round lengths of time on a log axis: positions as log10 of seconds.

    Examples
    --------
    >>> [text for _, text in lull_ticks(0.0, 3.0, 9)]
    ['1 s', '3 s', '10 s', '30 s', '1 min', '3 min', '10 min']
    """
    kept = _within([(math.log10(s), _length(s)) for s in _LULLS_S], low, high)
    if len(kept) > at_most:
        kept = kept[len(kept) % 2 == 0 :: 2]
    return kept[:: math.ceil(len(kept) / max(at_most, 1))] if kept else kept


def round_step(least: float) -> float:
    """Give the least of 1, 2 or 5 times a power of ten that is no less.

    Examples
    --------
    >>> round_step(3.2), round_step(0.11)
    (5.0, 0.2)
    """
    if not least > 0.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(least) + 1e-9)
    return next(float(m * power) for m in (1, 2, 5, 10) if m * power >= least * (1 - 1e-9))


def fit_linear(low: float, high: float, least_span: float) -> tuple[float, float]:
    """Widen a range to round ends, so that it moves seldom.

    Examples
    --------
    >>> fit_linear(12.0, 47.0, 1.0)
    (10.0, 50.0)
    """
    if high - low < least_span:
        middle = 0.5 * (low + high)
        low, high = middle - 0.5 * least_span, middle + 0.5 * least_span
    step = round_step((high - low) / 8.0)
    return math.floor(low / step) * step, math.ceil(high / step) * step


def fit_log(low: float, high: float, step: float = 0.25) -> tuple[float, float]:
    """Widen a range of logarithms to steps of a part of a decade, with some air.

    Examples
    --------
    >>> fit_log(1.3, 4.9)
    (1.25, 5.0)
    """
    air = 0.2 * step
    return math.floor((low - air) / step) * step, math.ceil((high + air) / step) * step


def _within(ticks: Iterable[tuple[float, str]], low: float, high: float) -> Ticks:
    return [tick for tick in ticks if low - 1e-9 <= tick[0] <= high + 1e-9]


def _grouped(value: float, digits: int) -> str:
    return f"{value:,.{digits}f}".replace(",", " ").replace("-", "−")


def _length(seconds: float) -> str:
    for size, symbol in ((_HOUR_S, "h"), (_MINUTE_S, "min")):
        if seconds >= size:
            return f"{np.round(seconds / size):.0f} {symbol}"
    return f"{seconds:g} s"
