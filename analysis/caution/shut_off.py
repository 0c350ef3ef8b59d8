"""The signs of a gauge that sees only its own hose: shut off from the start, or in mid-run."""

import math

from analysis.caution.freezing import DRY_PA
from analysis.caution.sight import Sight
from analysis.caution.silence import TOGETHER, chance_of_silence
from analysis.reason import Reason
from analysis.rules import MICRON_PA, EvacuationRules

# Behind a shut valve: down within half a minute, and then moving by less than this.
SHUT_DOWN_S = 30.0
ANY_LAG_S = 60.0  # a gauge that lags by 4 s shows 100 kPa fall to 5 Pa in 40
SHUT_STILL_PER_S = 0.01 / 270.0
SHUT_LOOK_S = 330.0
BACK_S = 60.0  # a level that came back at once lowers it: long enough for that to be heeded
SHUT_BELOW_PA = 150 * MICRON_PA


def gauge_shut_off(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that the gauge fell faster than any circuit or this, stood still once down, or hushed."""
    if sight.is_isolated:
        return None
    if sight.drop.is_too_fast(_own_fall_s(sight)):
        return Reason("gauge-fell-away", {"fell_s": max(sight.drop.took_s, 1.0)})
    if _fell_silent(sight):
        return Reason("gauge-fell-silent", {"fell_s": max(sight.drop.took_s, 1.0)})
    if sight.hush.reason is not None:
        return sight.hush.reason
    if sight.boil.has_boiled:
        return None
    if sight.fall.fell_s is not None:
        return Reason("gauge-shut-off", {"fell_s": sight.fall.fell_s})
    return _came_to_a_stand(sight)


def _came_to_a_stand(sight: Sight) -> Reason | None:
    """See that it came to its stand sooner than any circuit, or soon and then stood dead still."""
    plateau = sight.plateau
    if plateau.level_pa is None or not 0.0 < plateau.level_pa < SHUT_BELOW_PA:
        return None
    if sight.time_s - sight.pull_s < SHUT_LOOK_S or sight.boil.count(-math.inf) > 1:
        return None
    fell_s = sight.fall.since_high_s(plateau.level_pa)
    if fell_s is None or fell_s > ANY_LAG_S:
        return None
    step_pa = math.sqrt(12.0) * (sight.noise_pa or 0.0)  # it is read to that at most
    last_s = sight.fall.too_fast_to_s(plateau.level_pa, plateau.level_pa - step_pa)
    if last_s is not None:
        return Reason("gauge-shut-off", {"fell_s": last_s})
    if fell_s > SHUT_DOWN_S:
        return None
    if abs(plateau.fall_per_s) + plateau.unsure_per_s > SHUT_STILL_PER_S:
        return None
    return Reason("gauge-stands-still", {"fell_s": fell_s})


def _fell_silent(sight: Sight) -> bool:
    """Whether a boil-off that fell to under half at once has not burst since, though it was due."""
    at_s, onsets_s = sight.drop.at_s, sight.boil.onsets_s
    if at_s is None or sight.drop.only_undoes:
        return False
    if not sight.boil.has_boiled or sight.boil.count(at_s):
        return False
    return chance_of_silence(onsets_s, sight.quiet_s) < TOGETHER


def _own_fall_s(sight: Sight) -> float | None:
    """How long the circuit's own falls take at least: its bursts', or those on the way down.

    From 10 to 4.5 kPa nothing boils and the hose lets through most: lower down it takes longer.
    """
    took_s = sight.fall.between_s(*DRY_PA, at="least")
    if sight.fall_s is not None or took_s is None:
        return sight.fall_s
    return took_s / math.log(DRY_PA[0] / DRY_PA[1])


def still_shut_off(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that neither a burst nor a level that came back has shown that it sees the circuit."""
    goes_on = Reason("gauge-shut-off")  # without numbers: what was seen at first goes on being said
    if sight.drop.at_s is not None and sight.boil.count(sight.drop.at_s) < 2:
        return goes_on
    if sight.hush.reason is not None and not sight.is_isolated:
        return goes_on
    if sight.time_s - max(sight.fall.came_back_s, sight.drop.back_s) < BACK_S:
        return None
    return None if sight.boil.count(-math.inf) >= 2 or sight.is_isolated else goes_on
