"""A message bus of the test's own, on which BlueZ is pretended and bleak looks for it."""

import asyncio
import contextlib
import shutil
import subprocess
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager

import pytest

from sensors.radio_loop import on_radio, radio_loop
from tests.sensors.bluetooth.pretended_bluez import PretendedBluez

needs_bus = pytest.mark.skipif(
    shutil.which("dbus-daemon") is None,
    reason="expected dbus-daemon to be installed",
)
Use = Callable[[PretendedBluez], Awaitable[None]]


@contextlib.contextmanager
def private_bus() -> Iterator[str]:
    """Run a message bus; give its address."""
    with subprocess.Popen(
        ["dbus-daemon", "--session", "--nofork", "--nopidfile", "--print-address=1"],
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout
        yield process.stdout.readline().strip()
        process.terminate()


def on_bluez(address: str, use: Use, *, is_powered: bool = True) -> None:
    """Run ``use`` with a BlueZ that serves on this bus."""

    async def main() -> None:
        async with _bleak_closed():
            bluez = PretendedBluez(address)
            await bluez.start(is_powered=is_powered)
            try:
                await use(bluez)
            finally:
                await bluez.die()

    asyncio.run(main())


@asynccontextmanager
async def _bleak_closed() -> AsyncIterator[None]:
    """Close what bleak keeps open for as long as the radio's loop lives, and the loop."""
    from bleak.backends.bluezdbus import manager
    from bleak.backends.bluezdbus.version import BlueZFeatures

    BlueZFeatures.checked_bluez_version = True  # or it would start the bluetoothctl of this machine
    try:
        yield
    finally:

        async def close() -> None:
            kept = manager._global_instances.pop(asyncio.get_running_loop(), None)
            if kept is not None and kept._bus is not None:
                kept._bus.disconnect()
                with contextlib.suppress(Exception):
                    await kept._bus.wait_for_disconnect()  # type: ignore[no-untyped-call]

        await on_radio(close())
        radio_loop.end(5.0)
