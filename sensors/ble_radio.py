"""The computer's Bluetooth radio: the program's only scanner, and its faults in words."""

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from weakref import WeakKeyDictionary

from bleak import BleakScanner
from bleak.backends.device import BLEDevice
from bleak.backends.scanner import AdvertisementData
from bleak.exc import BleakError

from sensors.bluetooth_health import bluetooth_health
from sensors.events import SensorError
from sensors.radio_loop import radio_loop

Hear = Callable[[BLEDevice, AdvertisementData], None]

# BleakError and TimeoutError are bleak's own. A message bus that is not there or dies gives
# OSError or EOFError, and AssertionError when it dies between two calls.
FAULTS: tuple[type[Exception], ...] = (
    BleakError,
    TimeoutError,
    OSError,
    EOFError,
    AssertionError,
)
# Another program's search can keep the radio busy for a moment: ``InProgress``.
_BUSY_TRIES = 5
_BUSY_S = 0.2


class _Scan:
    """The scanner: runs while anybody listens."""

    def __init__(self) -> None:
        self._listeners: list[Hear] = []
        self._scanner: BleakScanner | None = None
        self._turn = asyncio.Lock()

    async def add(self, hear: Hear) -> None:
        async with self._turn:
            self._listeners.append(hear)  # first: known devices are told while it starts
            try:
                self._scanner = self._scanner or await _started(self._on_heard)
            except BaseException:
                self._listeners.remove(hear)
                raise

    async def remove(self, hear: Hear) -> None:
        async with self._turn:
            self._listeners.remove(hear)
            if self._listeners or self._scanner is None:
                return
            scanner, self._scanner = self._scanner, None
            with suppress(*FAULTS):  # a radio that is gone needs no stopping
                await scanner.stop()

    def _on_heard(self, device: BLEDevice, heard: AdvertisementData) -> None:
        for hear in list(self._listeners):
            hear(device, heard)


# One: the radio's loop is the only one. It is begun anew only where it was ended (in tests).
_scans: WeakKeyDictionary[asyncio.AbstractEventLoop, _Scan] = WeakKeyDictionary()


@asynccontextmanager
async def listening(hear: Hear) -> AsyncIterator[None]:
    """Call ``hear`` with every broadcast, as long as the context is open; on the radio's loop.

    Raises
    ------
    SensorError
        If the radio cannot be used; the text says what to do.
    """
    loop = asyncio.get_running_loop()
    if loop is not radio_loop.loop():
        raise RuntimeError("only the radio's own loop may search; see sensors/radio_loop.py")
    scan = _scans.setdefault(loop, _Scan())
    await scan.add(hear)
    try:
        yield
    finally:
        # Even when cancelled, the radio must not go on searching.
        await asyncio.shield(asyncio.ensure_future(scan.remove(hear)))


async def _started(on_heard: Hear) -> BleakScanner:
    for tries_left in reversed(range(_BUSY_TRIES)):
        # Repeated data too: a device that repeats itself is alive.
        scanner = BleakScanner(on_heard, bluez={"filters": {"DuplicateData": True}})
        try:
            await scanner.start()
        except FAULTS as fault:
            if not (is_busy(fault) and tries_left):
                raise await in_words(fault) from None
            await asyncio.sleep(_BUSY_S)
        else:
            return scanner
    raise AssertionError  # the last try returns or raises


def is_busy(fault: Exception) -> bool:
    """Tell the radio's "somebody else's turn" from a real fault."""
    return "InProgress" in str(fault)


async def in_words(fault: Exception) -> SensorError:
    """Give a fault of the radio as the user needs it: from the system's own state, if it tells."""
    health = await bluetooth_health()
    if health.state not in ("on", "unknown"):
        return SensorError(f"{health.text} {health.fix}".strip())
    if is_busy(fault):
        return SensorError("Bluetooth is busy with another program's search; it is tried again.")
    first_line = (str(fault) or type(fault).__name__).splitlines()[0].rstrip(".")
    return SensorError(f"Bluetooth failed: {first_line}.")
