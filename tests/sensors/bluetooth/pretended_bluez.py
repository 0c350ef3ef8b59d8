"""A pretended BlueZ on a private message bus: one adapter, and devices that a test moves.

What is pretended is written as BlueZ's own documentation of its D-Bus interfaces has it
(org.bluez.Adapter, Device, GattService, GattCharacteristic, GattDescriptor).
"""

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from dbus_fast import Message, MessageType, Variant
from dbus_fast.aio import MessageBus

ADAPTER = "/org/bluez/hci0"
_SIG = "0000{}-0000-1000-8000-00805f9b34fb"


def uuid(short: str) -> str:
    return _SIG.format(short.lower())


@dataclass
class Characteristic:
    short: str  # 16-bit number, in hexadecimal
    value: bytes
    flags: tuple[str, ...] = ("read",)
    descriptors: dict[str, bytes] = field(default_factory=dict)


@dataclass
class Device:
    """A device in the air. ``sessions`` has what it notifies after each subscription."""

    number: int
    name: str
    services: dict[str, list[Characteristic]] = field(default_factory=dict)
    service_data: dict[str, bytes] = field(default_factory=dict)
    signal_dbm: int = -61
    sessions: list[list[bytes]] = field(default_factory=list)

    @property
    def address(self) -> str:
        return f"C0:FF:EE:00:00:{self.number:02X}"

    @property
    def path(self) -> str:
        return f"{ADAPTER}/dev_{self.address.replace(':', '_')}"

    def properties(self) -> dict[str, Variant]:
        data = {uuid(key): Variant("ay", value) for key, value in self.service_data.items()}
        return {
            "Address": Variant("s", self.address),
            "AddressType": Variant("s", "random"),
            "Name": Variant("s", self.name),
            "Alias": Variant("s", self.name),
            "Adapter": Variant("o", ADAPTER),
            "Paired": Variant("b", False),
            "Connected": Variant("b", False),
            "ServicesResolved": Variant("b", False),
            "RSSI": Variant("n", self.signal_dbm),
            "UUIDs": Variant("as", [uuid(short) for short in self.services]),
            "ServiceData": Variant("a{sv}", data),
        }


class PretendedBluez:
    """Serves ``org.bluez``; ``failures`` and ``deaf`` make single methods fail or never answer."""

    def __init__(self, address: str) -> None:
        self.bus = MessageBus(bus_address=address)
        self.objects: dict[str, dict[str, dict[str, Variant]]] = {}
        self.air: list[Device] = []
        self.failures: defaultdict[str, list[str]] = defaultdict(list)
        self.deaf: set[str] = set()
        self.calls: list[str] = []
        self.searches = 0
        self.most_searches = 0
        self.is_still = False  # nobody broadcasts
        self.sent_values: list[bytes] = []

    async def start(self, *, is_powered: bool = True) -> None:
        await self.bus.connect()
        self.bus.add_message_handler(self._answer)
        adapter = {
            "Address": Variant("s", "C0:FF:EE:00:00:00"),
            "Powered": Variant("b", is_powered),
            "Roles": Variant("as", ["central", "peripheral"]),
        }
        self.objects[ADAPTER] = {"org.bluez.Adapter1": adapter}
        await self.bus.request_name("org.bluez")

    async def die(self) -> None:
        """End as a daemon that crashed: no farewell, all of its objects gone."""
        if self.bus.connected:
            self.bus.disconnect()
            await self.bus.wait_for_disconnect()  # type: ignore[no-untyped-call]

    def add(self, path: str, interface: str, properties: dict[str, Variant]) -> None:
        self.objects.setdefault(path, {})[interface] = properties
        self._signal("/", "InterfacesAdded", "oa{sa{sv}}", [path, {interface: properties}])

    def remove(self, path: str) -> None:
        for known in [one for one in self.objects if one == path or one.startswith(path + "/")]:
            self._signal("/", "InterfacesRemoved", "oas", [known, list(self.objects.pop(known))])

    def change(self, path: str, interface: str, **changed: Variant) -> None:
        self.objects[path][interface].update(changed)
        self._signal(path, "PropertiesChanged", "sa{sv}as", [interface, changed, []])

    def broadcast(self, device: Device) -> None:
        """Let a device be heard, as it is now."""
        if not self.searches or self.is_still:
            return
        if device.path not in self.objects:
            self.add(device.path, "org.bluez.Device1", device.properties())
        else:
            now = device.properties()
            heard = {key: now[key] for key in ("RSSI", "Name", "Alias", "UUIDs", "ServiceData")}
            self.change(device.path, "org.bluez.Device1", **heard)

    def notify(self, device: Device, value: bytes, short: str = "2A6D") -> None:
        for path, interfaces in self.objects.items():
            found = interfaces.get("org.bluez.GattCharacteristic1")
            if found and path.startswith(device.path) and found["UUID"].value == uuid(short):
                self.sent_values.append(value)
                self.change(path, "org.bluez.GattCharacteristic1", Value=Variant("ay", value))

    def drop(self, device: Device) -> None:
        """Lose the connection, as out of reach."""
        off = {"Connected": Variant("b", False), "ServicesResolved": Variant("b", False)}
        for path in [one for one in self.objects if one.startswith(device.path + "/service")]:
            if path in self.objects:
                self.remove(path)
        self.change(device.path, "org.bluez.Device1", **off)

    def _signal(self, path: str, member: str, signature: str, body: list[Any]) -> None:
        manager = "ObjectManager" if member.startswith("Interfaces") else "Properties"
        interface = f"org.freedesktop.DBus.{manager}"
        self.bus.send(Message.new_signal(path, interface, member, signature, body))

    def _answer(self, call: Message) -> Message | bool | None:
        if call.message_type != MessageType.METHOD_CALL:
            return None
        member = call.member or ""
        self.calls.append(member)
        if member in self.deaf:
            return True
        if self.failures[member]:
            return Message.new_error(call, self.failures[member].pop(0), "as the test wants it")
        if member == "GetManagedObjects":
            return Message.new_method_return(call, "a{oa{sa{sv}}}", [self.objects])
        if call.path not in self.objects:
            return Message.new_error(call, "org.freedesktop.DBus.Error.UnknownObject", "no object")
        if member == "ReadValue":
            value = next(iter(self.objects[call.path].values()))["Value"].value
            return Message.new_method_return(call, "ay", [value])
        act = getattr(self, f"_on_{member}", lambda _: None)
        if member == "Connect":  # BlueZ says "connected" before it answers
            act(call)
            return Message.new_method_return(call)
        self.bus.send(Message.new_method_return(call))
        act(call)
        return True

    def _on_StartDiscovery(self, _: Message) -> None:  # noqa: N802 - named as the method is
        self.searches += 1
        self.most_searches = max(self.most_searches, self.searches)
        for device in self.air:
            self.broadcast(device)

    def _on_StopDiscovery(self, _: Message) -> None:  # noqa: N802
        self.searches -= 1

    def _on_Connect(self, call: Message) -> None:  # noqa: N802
        device = next(one for one in self.air if one.path == call.path)
        self.change(device.path, "org.bluez.Device1", Connected=Variant("b", True))
        handle = 10
        for service, characteristics in device.services.items():
            at = f"{device.path}/service{handle:04x}"
            told = {"UUID": Variant("s", uuid(service)), "Device": Variant("o", device.path)}
            self.add(at, "org.bluez.GattService1", {**told, "Primary": Variant("b", True)})
            for characteristic in characteristics:
                handle = self._add_characteristic(at, characteristic, handle + 1)
            handle += 1
        self.change(device.path, "org.bluez.Device1", ServicesResolved=Variant("b", True))

    def _add_characteristic(self, service: str, one: Characteristic, handle: int) -> int:
        at = f"{service}/char{handle:04x}"
        told = {
            "UUID": Variant("s", uuid(one.short)),
            "Service": Variant("o", service),
            "Value": Variant("ay", one.value),
            "Flags": Variant("as", list(one.flags)),
        }
        self.add(at, "org.bluez.GattCharacteristic1", told)
        for short, value in one.descriptors.items():
            handle += 1
            told = {
                "UUID": Variant("s", uuid(short)),
                "Characteristic": Variant("o", at),
                "Value": Variant("ay", value),
            }
            self.add(f"{at}/desc{handle:04x}", "org.bluez.GattDescriptor1", told)
        return handle

    def _on_Disconnect(self, call: Message) -> None:  # noqa: N802
        self.drop(next(one for one in self.air if one.path == call.path))

    def _on_StartNotify(self, call: Message) -> None:  # noqa: N802
        device = next(one for one in self.air if (call.path or "").startswith(one.path))
        short = self.objects[call.path or ""]["org.bluez.GattCharacteristic1"]["UUID"].value[4:8]
        for value in device.sessions.pop(0) if device.sessions else []:
            self.notify(device, value, short)
