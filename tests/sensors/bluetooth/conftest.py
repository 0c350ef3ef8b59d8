import sys
from collections.abc import Iterator

import pytest

# BlueZ, its message bus and dbus-fast are of Linux.
collect_ignore_glob = [] if sys.platform == "linux" else ["*.py"]


@pytest.fixture(scope="module")
def bus_address() -> Iterator[str]:
    from tests.sensors.bluetooth.private_bus import private_bus

    with private_bus() as address:
        yield address


@pytest.fixture
def system_bus(bus_address: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """Give the private bus's address; it stands for the system's."""
    monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", bus_address)
    return bus_address
