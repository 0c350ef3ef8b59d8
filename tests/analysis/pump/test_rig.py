import pytest

from analysis.pump.flow import Hose
from analysis.pump.rig import TYPICAL_PA, WIDE_HOSE, Rig, rig_choices


def test_a_thin_hose_costs_what_the_published_law_says() -> None:
    # checks.md: 0.48 cm x 150 cm at a mean pressure of 0.667 mbar carries 0.0391 L/s of air
    # (first principles with Knudsen's factor); at 1.333 mbar in the circuit the mean is 0.667.
    speed = Rig(1.2e-3, Hose(0.0048, 1.5), has_core=False).speed_m3_s(133.3)
    assert speed * 1e3 == pytest.approx(1 / (1 / 1.2 + 1 / 0.0391), rel=0.02)


def test_a_core_costs_and_a_wide_hose_pays() -> None:
    wide = Hose(0.0095, 1.0)
    with_core, without = (
        Rig(1.2e-3, wide).share_left(67.0),
        Rig(1.2e-3, wide, False).share_left(67.0),
    )
    assert 0 < with_core < 0.7 * without < 1
    assert Rig(1.2e-3, Hose(0.0048, 1.5)).share_left(67.0) < 0.1


def test_the_choices_gain_one_upon_another() -> None:
    as_it_is, cores_out, wide = rig_choices(Rig(1.2e-3, Hose(0.0064, 0.9)))
    assert as_it_is.share_left < cores_out.share_left < wide.share_left < 1
    assert as_it_is.times_as_long == pytest.approx(1 / as_it_is.share_left)
    # checks.md: a tube carries 134.86 d^4 p/l + 12.119 d^3/l L/s (first principles,
    # Knudsen's factor on the molecular term [memory]), here at 0.333 mbar; the core's opening of
    # 2 mm2 carries 11.573 L/s per cm2.
    d, length, p = 0.64, 90.0, 0.5 * TYPICAL_PA / 100.0
    factor = (1 + 192 * d * p) / (1 + 237 * d * p)
    hose = 134.86 * d**4 * p / length + factor * 12.119 * d**3 / length
    assert cores_out.share_left == pytest.approx(1 / (1 + 1.2 / hose), rel=3e-3)
    one_after_another = 1 / 1.2 + 1 / hose + 1 / (0.02 * 11.573)
    assert as_it_is.share_left == pytest.approx(1 / one_after_another / 1.2, rel=3e-3)


def test_a_change_that_gains_nothing_is_not_offered() -> None:
    assert [c.name for c in rig_choices(Rig(1.2e-3, WIDE_HOSE, False))] == ["as-it-is"]
    assert [c.name for c in rig_choices(Rig(1.2e-3, WIDE_HOSE))] == ["as-it-is", "cores-out"]
