"""What the picture of a circuit leaves unexplained, learned from how far samples lie off it."""

# Share of each new sample: about 50 samples of memory, half a minute to two minutes.
_NEW = 0.02
# Deviations beyond 3 (and products beyond 4) standard deviations are events, not misfit.
_MOST_SQUARE, _MOST_ECHO, _MOST_ECHO_ABOVE = 9.0, 4.0, 1.0

_MOST_EXCESS = 30.0


class Misfit:
    """Two ways in which quiet samples may lie off their forecast by more than the noise tells.

    If each is off by itself (pump hum, faster than the samples), the noise is taken for larger.
    If neighbours are off to the same side (slow wander, rounding), the base line is taken for
    wandering: in a filter that has it right the deviations have no memory (Mehra, IEEE Trans.
    Automatic Control 15, 175 (1970), from memory).

    Attributes
    ----------
    excess
        Variance of a sample over the noise's own, ``least`` to 30.
    stray
        Variance that the level gains a second, as a share of the noise's, 1e-4 to 0.3: from a
        base line that keeps its course for an hour to one that strays by a noise in 3 s.
    """

    def __init__(self) -> None:
        self.excess = 1.0
        self.stray = 1e-3
        self._echo = 0.0
        self._off = 0.0

    def expect(self, times: float) -> None:
        """Heed that a sample is expected to have so many times the variance it was.

        What samples lay off by in all stays the same: so much less, or more, of it is unexpected.
        """
        if self.excess > 1.0 or times < 1.0:
            self.excess = min(max(self.excess / times, 1.0), _MOST_EXCESS)

    def expect_no_more(self) -> None:
        """Heed that bursts are crowded: what lies off by more than the noise tells is such."""
        self.excess = min(self.excess, 1.0)

    def update(
        self, off: float, rounding: float = 0.0, least: float = 1.0, forecast: float = 1.0
    ) -> None:
        """Take the deviation of a sample with no event near, in standard deviations.

        ``rounding`` is half the step that noise does not spread, in the same measure. A still
        trace keeps to one step for long: what lies within it is rounding, no wander. ``least``
        is under 1 where the noise may have been told too large. The variance of the forecast,
        ``forecast`` times that of the sample alone, may be too large as well: less noise is
        believed only where all that samples lie off is less than it.
        """
        whole = off
        if rounding > 0.0:
            off = max(off - rounding, 0.0) + min(off + rounding, 0.0)
        last, self._off = self._off, off
        # Two in a row far above may be a burst that is not recognised: taken for wander it would
        # pull the base line up with it, and hide the next one too. So they count for less.
        most = _MOST_ECHO_ABOVE if off > 0.0 else _MOST_ECHO
        echo = min(max(off * last, -_MOST_ECHO), most)
        self._echo += _NEW * (echo - self._echo)
        self.stray = min(max(self.stray * (1.0 + 0.1 * self._echo), 1e-4), 0.3)
        if off > 0.0:
            return
        square = min(off * off, _MOST_SQUARE)
        excess = self.excess * (1.0 + _NEW * (square - 1.0))
        if excess < 1.0:
            square = min(whole * whole * forecast, _MOST_SQUARE)
            excess = min(self.excess * (1.0 + _NEW * (square - 1.0)), 1.0)
        self.excess = min(max(excess, least), _MOST_EXCESS)
