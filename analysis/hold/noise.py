"""How a gauge's noise hangs together in a hold: white noise, wander, and rounding.

The errors of neighbouring points are alike (the reading wanders for seconds to minutes), so
plain least squares is far too sure of itself. Here the noise is white noise plus a first-order
autoregressive wander, in continuous time so that gaps are right, both growing with the pressure
as a thermal gauge's do. It is read off the spectrum of what a smooth curve leaves over (Whittle's
likelihood). Rounding that the noise does not dither away is added, for it does not average out.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.hold.trace import ThinnedHold

Floats = NDArray[np.float64]

_SMOOTH_TERMS: Final = 7  # lowest frequencies: taken up by the smooth curve, they say nothing
_WANDER_SHARES: Final = np.array([0.0, 0.02, 0.06, 0.2, 0.5, 1.0, 2.0, 5.0, 20.0])
_WANDER_POINTS: Final = np.array([1.0, 2.0, 4.0, 8.0, 16.0, 32.0])  # correlation time in points


@dataclass(frozen=True)
class HoldNoise:
    """The noise of each thinned point and how it hangs together.

    Attributes
    ----------
    white_pa : (n,) float64
        Standard deviation of the part that is new at each point.
    wander_pa : (n,) float64
        Standard deviation of the wandering part.
    wander_s
        Its correlation time.
    rounding_pa
        Standard deviation of the rounding that does not average out.
    rounding_s
        How long the pressure stays within one rounding step.
    """

    white_pa: Floats
    wander_pa: Floats
    wander_s: float
    rounding_pa: float
    rounding_s: float

    def covariance_pa2(self, time_s: Floats) -> Floats:
        """Covariance matrix of the points at ``time_s``, (n, n) float64, Pa2."""
        apart = np.abs(time_s[:, None] - time_s[None, :])
        wander = np.outer(self.wander_pa, self.wander_pa) * np.exp(-apart / self.wander_s)
        rounding = self.rounding_pa**2 * np.exp(-apart / self.rounding_s)
        return np.asarray(wander + rounding + np.diag(self.white_pa**2))


def pressure_scaling(pressure_pa: Floats) -> Floats:
    """How much more each point scatters than the average one, (n,) float64.

    The exponent (0: the same everywhere, 1: with the pressure) is taken from the scatter of the
    lower and the upper half; where the pressure hardly changes it does not matter.
    """
    level = np.maximum(pressure_pa, 1e-3 * float(np.median(np.abs(pressure_pa))) + 1e-12)
    bend = np.abs(level[2:] - 2.0 * level[1:-1] + level[:-2])
    middle = level[1:-1]
    low = middle <= np.median(middle)
    apart = float(np.log(np.median(middle[~low]) / np.median(middle[low]))) if (~low).any() else 0.0
    if apart < 0.1:
        return np.ones_like(level)
    tiny = 1e-12 * float(level.mean())
    grows = float(np.log((bend[~low].mean() + tiny) / (bend[low].mean() + tiny)))
    exponent = min(max(grows / apart, 0.0), 1.0)
    scale = (level / float(np.exp(np.mean(np.log(level))))) ** exponent
    return np.asarray(scale)


def read_noise(hold: ThinnedHold, left_over_pa: Floats, least_pa: float) -> HoldNoise:
    """Read the noise off what a smooth curve leaves over.

    Parameters
    ----------
    hold
        The points that were fitted.
    left_over_pa : (n,) float64, Pa
        Their residuals.
    least_pa
        The gauge's noise for one reading is known to be at least this, Pa; 0 if unknown.
    """
    scale = pressure_scaling(hold.pressure_pa)
    variance, share, correlation = _spectrum_fit(left_over_pa / scale)
    spacing_s = float(np.median(np.diff(hold.time_s)))
    usual = float(np.median(hold.count))
    white = np.sqrt(variance * usual / np.minimum(hold.count, usual)) * scale
    floor = max(least_pa, 1e-4 * hold.step_pa) / np.sqrt(hold.count)
    floor = np.maximum(floor, 1e-7 * float(hold.pressure_pa.mean()) + 1e-12)
    one_reading_pa = float(np.sqrt(variance * usual))
    rise_rate = abs(float(hold.pressure_pa[-1] - hold.pressure_pa[0])) / hold.duration_s
    return HoldNoise(
        white_pa=np.maximum(white, floor),
        wander_pa=np.sqrt(variance * share) * scale,
        wander_s=correlation * spacing_s,
        rounding_pa=undithered_pa(hold.step_pa, one_reading_pa),
        rounding_s=min(max(hold.step_pa / max(rise_rate, 1e-12), spacing_s), hold.duration_s),
    )


def undithered_pa(step_pa: float, noise_pa: float) -> float:
    """Give the standard deviation of rounding that averaging does not remove.

    step / sqrt(12) without noise; with noise the error's first harmonic shrinks by
    exp(-2 (pi noise / step)^2) (Widrow and Kollar, Quantization Noise, 2008, chapter 4).
    """
    if step_pa <= 0.0:
        return 0.0
    return float(step_pa / np.sqrt(12.0) * np.exp(-2.0 * (np.pi * noise_pa / step_pa) ** 2))


def _spectrum_fit(left_over: Floats) -> tuple[float, float, float]:
    """White variance, the wander's variance as a share of it, its correlation time in points."""
    n = len(left_over)
    mirrored = np.concatenate([left_over, left_over[::-1]])
    order = np.arange(n)
    cosine = np.real(np.fft.rfft(mirrored)[:n] * np.exp(-0.5j * np.pi * order / n))
    used = slice(min(_SMOOTH_TERMS, n // 2), n)
    power = cosine[used] ** 2 / (2.0 * n)
    angle = np.pi * order[used] / n
    points = _WANDER_POINTS[n / 6 >= _WANDER_POINTS]
    points = points if len(points) else _WANDER_POINTS[:1]
    alike = np.exp(-1.0 / points)[:, None, None]
    wander = (1 - alike**2) / (1 - 2 * alike * np.cos(angle) + alike**2)
    shape = 1.0 + _WANDER_SHARES[None, :, None] * wander
    variance = np.mean(power / shape, axis=2)
    score = len(power) * np.log(variance + 1e-300) + np.sum(np.log(shape), axis=2)
    best = np.unravel_index(int(np.argmin(score)), score.shape)
    return (
        float(variance[best]),
        float(_WANDER_SHARES[best[1]]),
        float(points[best[0]]),
    )
