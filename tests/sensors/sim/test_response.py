import math

import numpy as np
import pytest
from scipy.signal import impulse

from sensors.sim.response import peak_share


@pytest.mark.parametrize(
    ("release_s", "fall_s", "lag_s"),
    [(0.3, 20.0, 0.5), (2.0, 3.0, 2.0), (1.0, 1.0, 1.0), (0.05, 200.0, 0.1)],
)
def test_peak_agrees_with_scipy(release_s: float, fall_s: float, lag_s: float) -> None:
    polynomial = np.polymul(np.polymul([release_s, 1.0], [fall_s, 1.0]), [lag_s, 1.0])
    _, response = impulse(
        ([fall_s], polynomial), T=np.linspace(0.0, 10.0 * (release_s + lag_s), 4001)
    )
    share = float(peak_share(np.array([release_s]), np.array([fall_s]), lag_s)[0])
    assert math.isclose(share, float(np.max(response)), rel_tol=2e-3)
