"""One hold made ready and fitted: warmth taken out, outliers dropped, noise made white."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.hold.even_out import even_out_end_s
from analysis.hold.models import Member, fit_members, whiten
from analysis.hold.noise import HoldNoise, read_noise
from analysis.hold.rules import HoldRules
from analysis.hold.terms import CONSTANT, LINE, Extra, Terms, build_terms, rising
from analysis.hold.trace import ThinnedHold
from analysis.water import ZERO_CELSIUS_K

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

WARMTH_MATTERS_K: Final = 0.3  # less is a thermometer's own noise
DOUBLING_K: Final = 10.0  # vapour over wet oil or metal about doubles each 10 K (practice)
_ANSWERS: Final = 0.15  # share of the start's pressure that is vapour in balance: a guess ...
_ANSWERS_SPREAD: Final = 0.3  # ... and how good a guess
_LEFT: Final = 0.05  # of the start's pressure, of the even-out, give or take (chosen) ...
_LEFT_S: Final = 40.0  # ... and how fast it goes: about the slowest that is no vapour
_SMOOTH_OVER: Final = 0.05  # of the hold
_OUTLIER: Final = 6.0  # robust standard deviations
_MOST_OUTLIERS: Final = 0.05
_SPOILED: Final = 2  # points in a row, by two wild readings
SMOOTH_SHARES: Final = (0.05, 0.15, 0.4, 1.0)  # time constants of a smooth curve, of the hold


@dataclass(frozen=True)
class HoldFit:
    """A hold after its even-out with every explanation fitted.

    Attributes
    ----------
    from_s
        End of the even-out; all terms but the constant are 0 there.
    points
        What was fitted: pressures as they would be at the first temperature.
    warmth_k
        Change of temperature over the hold, 0 if unknown or too small to matter.
    terms, members
        What was tried, best first.
    line_error_pa_s
        Standard error of a straight rise added to the best explanation without one.
    """

    from_s: float
    points: ThinnedHold
    warmth_k: float
    terms: Terms
    members: list[Member]
    noise: HoldNoise
    line_error_pa_s: float

    @property
    def fell_pa(self) -> float | None:
        """How far the pressure fell after the even-out, or ``None`` if it did not clearly fall."""
        pressure, n = self.points.pressure_pa, len(self.points.pressure_pa)
        some = max(3, n // 10)
        fall = float(np.median(pressure[:some]) - np.median(pressure[-some:]))
        spread = float(np.hypot(self.noise.white_pa.mean() / np.sqrt(some) * 1.25,
                                self.noise.wander_pa.mean()))  # fmt: skip
        return fall if fall > max(3.0 * np.sqrt(2.0) * spread, self.points.step_pa) else None

    @property
    def evened_pa(self) -> float:
        """Pressure at the evened-out start, over all explanations."""
        return sum(member.weight * float(member.coefficients[0]) for member in self.members)


def fit_hold(
    hold: ThinnedHold, rules: HoldRules, noise_pa: float | None, *, may_even_out: bool = False
) -> HoldFit:
    """Fit every explanation to what comes after the even-out.

    With ``may_even_out`` some of the even-out may be left beside each of them: a fall that goes
    on unseen makes a slow vapour look straight, and a rise makes a levelling one look like two.
    """
    cool, warmth, warmth_k = without_warmth(hold)
    from_s = even_out_end_s(cool, rules)
    late = cool.time_s >= from_s
    points = cool.only(late)
    extra = _temperature_term(points, None if warmth is None else warmth[late])
    smooth = _smooth_with(points, extra)
    sound = _sound(points, smooth)
    if not sound.all():
        points, smooth = points.only(sound), smooth[sound]
        extra = None if extra is None else replace(extra, column=extra.column[sound])
    extras = () if extra is None else (extra,)
    if may_even_out:
        extras = (*extras, _left_even_out(points, from_s))
    terms = build_terms(points.time_s, from_s, hold.duration_s, rules, extras)
    rest = _left_over(smooth, points.pressure_pa)
    noise = read_noise(points, rest, noise_pa or 0.0)
    problem = whiten(terms, points.pressure_pa, noise.covariance_pa2(points.time_s))
    members = fit_members(terms, problem)
    return HoldFit(
        from_s=from_s,
        points=points,
        warmth_k=warmth_k,
        terms=terms,
        members=members,
        noise=noise,
        line_error_pa_s=_line_error(members, terms, problem.terms),
    )


def without_warmth(hold: ThinnedHold) -> tuple[ThinnedHold, Floats | None, float]:
    """Take the gas law's share out, and give the shape of the vapour's answer to warmth.

    p / T stays the same in a closed volume; vapour over wet oil or metal grows far faster.
    """
    if hold.temperature_c is None:
        return hold, None, 0.0
    celsius = _smoothed(hold.time_s, hold.temperature_c, _SMOOTH_OVER * hold.duration_s)
    change = celsius - celsius[0]
    if float(np.ptp(change)) < WARMTH_MATTERS_K:
        return hold, None, 0.0
    ratio = (celsius[0] + ZERO_CELSIUS_K) / (celsius + ZERO_CELSIUS_K)
    cool = replace(hold, pressure_pa=hold.pressure_pa * ratio)
    extreme = float(change[np.argmax(np.abs(change))])
    return cool, np.exp2(change / DOUBLING_K) - 1.0, extreme


def _smoothed(time_s: Floats, values: Floats, width_s: float) -> Floats:
    """Smooth by local straight lines with Gaussian weights, which do not bend at the ends."""
    apart = (time_s[None, :] - time_s[:, None]) / max(width_s, 1e-9)
    kernel = np.exp(-0.5 * apart**2)
    s0, s1, s2 = (np.sum(kernel * apart**power, axis=1) for power in (0, 1, 2))
    weights = kernel * (s2[:, None] - s1[:, None] * apart)
    total = s0 * s2 - s1 * s1
    thin_spots = total < 1e-6 * s0 * s0
    weights[thin_spots], total[thin_spots] = kernel[thin_spots], s0[thin_spots]
    return np.asarray(weights @ values / total)


def _temperature_term(points: ThinnedHold, warmth: Floats | None) -> Extra | None:
    """Give the vapour's answer to a known change of temperature: some of the start's pressure."""
    if warmth is None:
        return None
    start = _start_pa(points)
    return Extra(warmth, _ANSWERS * start, _ANSWERS_SPREAD * start)


def _left_even_out(points: ThinnedHold, from_s: float) -> Extra:
    """Give what may be left of the even-out, of either sign, where it was not seen to end."""
    return Extra(rising(points.time_s - from_s, _LEFT_S), 0.0, _LEFT * _start_pa(points))


def _start_pa(points: ThinnedHold) -> float:
    first = points.pressure_pa[: max(3, len(points.pressure_pa) // 20)]
    return max(float(np.median(first)), 1e-6)


def smooth_columns(share: Floats) -> Floats:
    """Give what a smooth curve is made of (n, 6), at these shares (n,) of a hold."""
    return np.column_stack(
        [np.ones_like(share), share, *(np.exp(-share / constant) for constant in SMOOTH_SHARES)]
    )


def _smooth_with(points: ThinnedHold, extra: Extra | None) -> Floats:
    smooth = smooth_columns((points.time_s - points.time_s[0]) / max(points.duration_s, 1e-9))
    if extra is None:
        return smooth
    column = extra.column / max(float(np.abs(extra.column).max()), 1e-12)
    return np.column_stack([smooth, column])


def _left_over(columns: Floats, pressure_pa: Floats) -> Floats:
    fit, _, _, _ = np.linalg.lstsq(columns, pressure_pa, rcond=1e-9)
    return np.asarray(pressure_pa - columns @ fit)


def _sound(points: ThinnedHold, smooth: Floats) -> Bools:
    """Points that are not far off a smooth curve; at most one in twenty is dropped.

    Two wild readings spoil two points at most: what lies off in the last three is no outlier but
    what the circuit does now.
    """
    keep = np.ones(len(points.time_s), dtype=bool)
    for _ in range(2):
        fit, _, _, _ = np.linalg.lstsq(smooth[keep], points.pressure_pa[keep], rcond=1e-9)
        rest = np.abs(points.pressure_pa - smooth @ fit)
        usual = 1.4826 * float(np.median(rest[keep])) + 0.5 * points.step_pa
        limit = max(_OUTLIER * usual, float(np.quantile(rest, 1.0 - _MOST_OUTLIERS)))
        keep = rest <= limit
    if not keep[-_SPOILED - 1 :].any():
        keep[np.flatnonzero(keep)[-1] :] = True
    return keep


def _line_error(members: list[Member], terms: Terms, white: Floats) -> float:
    """Error of a straight rise beside the best explanation that has none."""
    plain = next((m for m in members if LINE not in m.columns), None)
    own = [CONSTANT] if plain is None else plain.columns.tolist()
    columns = np.union1d(np.array(own, dtype=np.intp), terms.always).tolist()
    r: Floats = np.asarray(np.linalg.qr(white[:, [*columns, LINE]], mode="r"))
    return 1.0 / max(abs(float(r[-1, -1])), 1e-30)
