import pytest

from analysis.flow import Hose
from analysis.rig import Rig


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
