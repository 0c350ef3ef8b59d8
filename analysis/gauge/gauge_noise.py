"""All that is known of a gauge's noise: how far a reading and a sample may lie off."""

from analysis.gauge.coloured import ColouredNoise, Pending
from analysis.gauge.crowd import Crowd
from analysis.gauge.learned import Learned
from analysis.gauge.misfit import Misfit
from analysis.gauge.noise import NoiseEstimator
from analysis.gauge.swell import Swell
from analysis.gauge.thinning import Bin
from analysis.ring import Ring

# Where readings come no faster than the bins, the differences that tell the noise span seconds,
# and crowded bursts swell them: then quiet samples may show that it is less, down to this share
# of the variance.
_LEAST = 0.1


class GaugeNoise:
    """Joins what differences of readings tell with what lasts, swings, or fits better or worse.

    Parameters
    ----------
    learned
        What a first look learned, if any. Of noise that is a floor and a share of the pressure,
        that bounds what was before, when the pressure was higher: it is at most as much more.

    Attributes
    ----------
    noise_pa
        Standard deviation of one reading, rounding included, Pa; ``None`` until known.
    """

    def __init__(self, learned: Learned | None = None) -> None:
        self._readings, self._coloured = NoiseEstimator(), ColouredNoise()
        self._swell, self._misfit, self._crowd = Swell(), Misfit(), Crowd()
        self._learned = learned
        self._most_pa = float("inf")
        self._least = self._rounding = 1.0
        self._variance = 0.0  # of the newest sample, Pa^2
        self.noise_pa: float | None = None

    @property
    def excess(self) -> float:
        """Variance of quiet samples over what is expected of the readings' differences."""
        return self._misfit.excess

    @property
    def stray(self) -> float:
        """How far the base line strays; see :class:`analysis.gauge.misfit.Misfit`."""
        return self._misfit.stray

    @property
    def is_stuck(self) -> bool:
        """Whether the newest value was repeated too often for chance."""
        return self._readings.is_stuck

    def break_off(self) -> None:
        """Begin anew with the next reading, as after a gap; what was learned stays."""
        self._readings.break_off()

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take one reading."""
        if self._readings.update(time_s, pressure_pa, self._crowd.is_crowded):
            self._tell()

    def heed_event(self, onset_s: float) -> None:
        """Heed that a burst, a step or a bend began then."""
        self._coloured.heed_event(onset_s)

    def variance(
        self, sample: Bin, samples: Ring, spacing_s: float, pending_s: Pending = list
    ) -> float:
        """Variance of the newest of the samples, Pa^2, which lie ``spacing_s`` apart.

        ``pending_s`` gives when events that are not certain yet may have begun.
        """
        self._crowd.update(samples, spacing_s)
        noise, learned, coloured = self._readings.noise_pa or 0.0, self._learned, self._coloured
        if learned is not None:
            higher = max(sample.pressure_pa / learned.level_pa, 1.0)
            self._most_pa = learned.noise_pa * higher
            noise = min(noise, self._most_pa)
        square, stubborn = noise * noise, self._readings.stubborn_pa2
        expected = max(square - stubborn, 0.0) / sample.readings + 2.0 * stubborn
        times = coloured.times
        may_last = not self._crowd.is_plain
        swollen = expected * self._readings.swollen  # else a crowd untold would seem to last
        expected += coloured.update(samples, spacing_s, swollen, pending_s, may_last=may_last)
        if coloured.times != times:
            self._misfit.expect(coloured.times / times)
        self._variance = self._swell.variance(samples, expected) * self._misfit.excess
        self._rounding = (3.0 * stubborn / self._variance) ** 0.5 if stubborn else 0.0
        self._least = 1.0
        if sample.readings == 1:
            self._least = min(max(self._readings.rounding_pa2 / square, _LEAST), 1.0)
        self._tell()
        return self._variance

    def heed(self, off: float, known_pa2: float) -> None:
        """Learn from the newest sample, a quiet one.

        It lay ``off`` its forecast by so many standard deviations; with it, what is shown is known
        with a variance of ``known_pa2``.
        """
        # Of the two variances that make this one, by the gain of a Kalman filter.
        forecast = 1.0 / max(1.0 - known_pa2 / self._variance, 0.1)
        self._misfit.update(off, self._rounding, self._least, forecast)
        if self._crowd.is_crowded:
            self._misfit.expect_no_more()
        self._tell()

    def _tell(self) -> None:
        """Tell the noise anew; it is asked for more often than anything of it changes."""
        noise = self._readings.noise_pa
        if noise is not None:
            noise = min(noise, self._most_pa)
            square = noise * noise + self._coloured.lasting_pa2
            self.noise_pa = (square * min(self._misfit.excess, 1.0)) ** 0.5
