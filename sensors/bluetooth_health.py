"""Whether this computer's Bluetooth can be used, and what to do if not.

Asked of the system itself, without searching for any device.
"""

import asyncio
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

BluetoothState = Literal[
    "on", "off", "blocked", "no-adapter", "no-daemon", "no-bus", "not-allowed", "unknown"
]
ANSWER_S = 3.0
_RFKILL = Path("/sys/class/rfkill")


@dataclass(frozen=True, slots=True)
class BluetoothHealth:
    """What is so, in one sentence, and the way out, if it needs one."""

    state: BluetoothState
    text: str
    fix: str = ""


async def bluetooth_health() -> BluetoothHealth:
    """Ask the system. Never raises, and ends within seconds."""
    try:
        async with asyncio.timeout(ANSWER_S):
            if sys.platform == "linux":
                return await _on_linux()
            if sys.platform == "darwin":
                return _on_macos()
    except TimeoutError:
        return BluetoothHealth("unknown", f"Bluetooth gave no answer within {ANSWER_S:.0f} s.")
    except Exception as error:  # a diagnosis must not fall over what it diagnoses
        return BluetoothHealth("unknown", f"Bluetooth could not be asked: {error!r:.200}.")
    return BluetoothHealth("unknown", "Whether Bluetooth is on shows when it searches.")


def blocked(rfkill: Path = _RFKILL) -> BluetoothHealth | None:
    """Look whether a switch, of hardware or software, keeps the radio off (Linux)."""
    for switch in sorted(rfkill.glob("rfkill*")):
        try:
            if (switch / "type").read_text().strip() != "bluetooth":
                continue
            hard = (switch / "hard").read_text().strip() == "1"
            soft = (switch / "soft").read_text().strip() == "1"
        except OSError:
            continue
        if hard:
            fix = "Turn on the computer's radio switch or key (often marked with an antenna)."
            return BluetoothHealth("blocked", "A hardware switch keeps Bluetooth off.", fix)
        if soft:
            fix = "'rfkill unblock bluetooth', or leave the flight mode."
            return BluetoothHealth("blocked", "Bluetooth is blocked, as in flight mode.", fix)
    return None


async def _on_linux() -> BluetoothHealth:
    from dbus_fast.aio import MessageBus
    from dbus_fast.constants import BusType

    try:
        bus = await MessageBus(bus_type=BusType.SYSTEM).connect()
    except (OSError, ValueError, EOFError):
        return BluetoothHealth(
            "no-bus",
            "The system's message bus (D-Bus), which Bluetooth needs, cannot be reached.",
            "'sudo apt-get install dbus bluez' and start anew; in a container give it the bus.",
        )
    try:
        return await _of_daemon(bus)
    finally:
        bus.disconnect()


async def _of_daemon(bus: Any) -> BluetoothHealth:
    if not await _ask_bus(bus, "NameHasOwner", "s", ["org.bluez"]):
        if "org.bluez" in await _ask_bus(bus, "ListActivatableNames", "", []):
            fix = "'sudo systemctl enable --now bluetooth'."
            return BluetoothHealth("no-daemon", "The Bluetooth daemon does not run.", fix)
        fix = "'sudo apt-get install bluez', then 'sudo systemctl enable --now bluetooth'."
        return BluetoothHealth("no-daemon", "The Bluetooth daemon (BlueZ) is not there.", fix)
    switched_off = blocked()
    if switched_off is not None:
        return switched_off
    from dbus_fast.message import Message

    reply = await bus.call(
        Message(
            destination="org.bluez",
            path="/",
            interface="org.freedesktop.DBus.ObjectManager",
            member="GetManagedObjects",
        )
    )
    if reply.error_name is not None:
        return BluetoothHealth(
            "not-allowed",
            f"The Bluetooth daemon refuses to answer ({reply.error_name}).",
            "'sudo usermod -aG bluetooth $USER', then log out and in again.",
        )
    adapters = [parts["org.bluez.Adapter1"] for parts in reply.body[0].values() if _has(parts)]
    if not adapters:
        return BluetoothHealth(
            "no-adapter", "This computer has no Bluetooth adapter.", "Plug one in (USB)."
        )
    if not any(adapter["Powered"].value for adapter in adapters):
        return BluetoothHealth("off", "Bluetooth is switched off.", "'bluetoothctl power on'.")
    return BluetoothHealth("on", "Bluetooth is on.")


def _has(parts: dict[str, Any]) -> bool:
    return "Powered" in parts.get("org.bluez.Adapter1", {})


async def _ask_bus(bus: Any, member: str, signature: str, body: list[str]) -> Any:
    from dbus_fast.message import Message

    reply = await bus.call(
        Message(
            destination="org.freedesktop.DBus",
            path="/org/freedesktop/DBus",
            interface="org.freedesktop.DBus",
            member=member,
            signature=signature,
            body=body,
        )
    )
    return reply.body[0]


def _on_macos() -> BluetoothHealth:
    from importlib import import_module

    # CBManagerAuthorization: 0 not determined, 1 restricted, 2 denied, 3 allowed always
    # (Apple, Core Bluetooth; from memory, not tried on a Mac).
    authorization = int(import_module("CoreBluetooth").CBManager.authorization())
    fix = (
        "System Settings, Privacy & Security, Bluetooth: allow the terminal or Simmerdown, then "
        "start it anew."
    )
    if authorization in (1, 2):
        return BluetoothHealth("not-allowed", "macOS does not let this program use Bluetooth.", fix)
    if authorization == 0:
        text = "macOS will ask for leave when Bluetooth is first used."
        return BluetoothHealth("unknown", text, "Say yes.")
    return BluetoothHealth("unknown", "macOS lets this program use Bluetooth.")
