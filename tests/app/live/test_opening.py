"""Gauges named together: each needs a place of its own."""

import pytest

from app.gauge.profiles import Profile, save_profile
from app.live.opening import second_sensor_at
from app.system.errors import UsageError


@pytest.mark.parametrize(
    ("far", "second", "is_right"),
    [
        ("serial:/dev/ttyUSB0?field=1", "serial:/dev/ttyUSB0?field=2", False),  # one port
        ("serial:/dev/ttyUSB0", "serial:/dev/ttyUSB1", True),
        ("tcp:10.0.0.2:4001?field=1", "tcp:10.0.0.2:4001?field=2", True),  # two connections
        ("ble:Gauge 7?unit=pa", "ble:Gauge 7", False),
        ("sim:wet?seed=1", "sim:wet?seed=2", True),
        ("sim:wet", "sim:wet", False),
        ("profile:cart", "tcp:10.0.0.2:4001", False),
        ("profile:cart", "profile:cart", False),
        ("sim:wet", "nonsense", False),
    ],
)
def test_two_gauges_need_two_places(far: str, second: str, is_right: bool) -> None:
    save_profile(Profile("cart", "tcp:10.0.0.2:4001"))
    if is_right:
        assert second_sensor_at(second, far)
    else:
        with pytest.raises(UsageError, match=r"place of its own|address"):
            second_sensor_at(second, far)
