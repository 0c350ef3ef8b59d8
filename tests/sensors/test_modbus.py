import asyncio
import struct
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pymodbus import FramerType
from pymodbus.framer import FramerRTU
from pymodbus.server import ModbusSerialServer, ModbusTcpServer
from pymodbus.simulator import DataType, SimData, SimDevice

from sensors import modbus
from sensors.catalogue import open_sensor
from sensors.events import Connected, Reading, SensorError
from sensors.keep_alive import KeepAlive
from sensors.modbus import ModbusSensor
from sensors.modbus_registers import Registers
from sensors.packed_number import PackedFormat
from tests.sensors.heard import Heard
from tests.sensors.tasks import serving, stopped

PA = PackedFormat("u16be", unit="pa")
# 66.66 Pa as IEEE 754 binary32, high word first.
FLOAT_WORDS = list(struct.unpack(">2H", struct.pack(">f", 66.66)))


def device() -> SimDevice:
    """Device 7: holding registers from 100, input registers from 0."""
    bits = [SimData(0, values=[False] * 8, datatype=DataType.BITS)]
    holding = [SimData(100, values=[523, 0, 1, *FLOAT_WORDS], datatype=DataType.REGISTERS)]
    inputs = [SimData(0, values=[42], datatype=DataType.REGISTERS)]
    return SimDevice(7, simdata=(bits, bits, holding, inputs))


@asynccontextmanager
async def tcp_server(framer: FramerType = FramerType.SOCKET, port: int = 0) -> AsyncIterator[str]:
    server = ModbusTcpServer(device(), framer=framer, address=("127.0.0.1", port))
    assert await server.listen()
    try:
        listening = server.transport.sockets[0]  # type: ignore[attr-defined]
        yield f"127.0.0.1:{listening.getsockname()[1]}"
    finally:
        await server.shutdown()  # type: ignore[no-untyped-call]


async def first_reading(address: str) -> Reading:
    heard = Heard()
    task = asyncio.ensure_future(open_sensor(address).run(heard))
    await heard.until(lambda h: bool(h.readings()))
    await stopped(task)
    return heard.readings()[0]


def test_the_check_sum_of_the_standards_example() -> None:
    # "MODBUS over serial line specification and implementation guide": 01 03 00 00 00 0A -> C5 CD.
    check = FramerRTU.compute_CRC(bytes.fromhex("01030000000A"))
    assert check.to_bytes(2, "big") == bytes.fromhex("C5CD")


@pytest.mark.parametrize(
    ("options", "pressure_pa"),
    [
        ("register=100&unit=pa", 523),
        ("register=100&unit=micron", 523 * 0.1333224),
        ("register=100&unit=pa&scale=0.1&offset=1", 53.3),
        ("register=0&table=input&unit=pa", 42),
        ("register=101&type=u32&unit=pa", 1),
        ("register=101&type=s32&order=little&unit=pa", 65536),
        ("register=103&type=f32&unit=pa", 66.66),
    ],
)
def test_registers_over_tcp(options: str, pressure_pa: float) -> None:
    async def main() -> None:
        async with tcp_server() as target:
            reading = await first_reading(f"modbus:{target}?device=7&{options}")
            assert reading.pressure_pa == pytest.approx(pressure_pa, rel=1e-6)

    asyncio.run(main())


def test_rtu_frames_through_a_plain_network_converter() -> None:
    async def main() -> None:
        async with tcp_server(FramerType.RTU) as target:
            reading = await first_reading(
                f"modbus:{target}?device=7&register=100&framing=rtu&unit=pa"
            )
            assert reading.pressure_pa == 523

    asyncio.run(main())


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo terminals are POSIX")
def test_rtu_on_a_serial_line(pty_pair: tuple[str, str]) -> None:
    theirs, ours = pty_pair

    async def main() -> None:
        server = ModbusSerialServer(device(), framer=FramerType.RTU, port=theirs, baudrate=9600)
        assert await server.listen()
        try:
            reading = await first_reading(
                f"modbus:{ours}?baud=9600&parity=even&device=7&register=103&type=f32&unit=pa"
            )
            assert reading.pressure_pa == pytest.approx(66.66, rel=1e-6)
        finally:
            await server.shutdown()  # type: ignore[no-untyped-call]

    asyncio.run(main())


def test_the_devices_refusal_is_rejected_in_words() -> None:
    async def main() -> None:
        async with tcp_server() as target:
            heard = Heard()
            sensor = ModbusSensor(target, Registers(7000, 7, packed=PA), every_s=0.01)
            task = asyncio.ensure_future(sensor.run(heard))
            await heard.until(lambda h: len(h.rejected()) >= 2)
            await stopped(task)
            assert isinstance(heard.events[0], Connected)
            # Exception 2 is "illegal data address" (Modbus application protocol 1.1b3, 7).
            assert heard.rejected()[0].raw == b"\x02"
            assert "exception 2: no such register" in heard.rejected()[0].why

    asyncio.run(main())


def test_no_answer_and_nobody_there(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(modbus, "_ANSWER_S", 0.1)

    async def mute(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await reader.read()

    async def main() -> None:
        async with serving(mute) as target:
            with pytest.raises(SensorError, match=r"device 1 on .* does not answer") as caught:
                await ModbusSensor(target, Registers(0)).run(Heard())
            assert not caught.value.is_final
        with pytest.raises(SensorError, match="Cannot open"):
            await ModbusSensor(target, Registers(0)).run(Heard())
        with pytest.raises(SensorError, match="There is no port"):
            await ModbusSensor(str(tmp_path / "tty"), Registers(0)).run(Heard())

    asyncio.run(main())


def test_comes_back_after_the_server_did() -> None:
    async def main() -> None:
        heard = Heard()
        async with tcp_server() as target:
            sensor = ModbusSensor(target, Registers(100, 7, packed=PA), every_s=0.01)
            alive = KeepAlive(sensor, first_retry_s=0.01, longest_retry_s=0.01)
            task = asyncio.ensure_future(alive.run(heard))
            await heard.until(lambda h: len(h.readings()) >= 2)
        await heard.until(lambda h: h.links() == ["connected", "lost"])
        async with tcp_server(port=int(target.rpartition(":")[2])):
            await heard.until(lambda h: h.links() == ["connected", "lost", "connected"])
            await stopped(task)

    asyncio.run(main())


@given(
    st.sampled_from(["u16be", "s16be", "u32be", "s32be", "f32be"]),
    st.sampled_from(["big", "little"]),
    st.lists(st.integers(0, 65535), max_size=4),
)
def test_any_registers_give_a_reading_or_a_rejection(
    form: str, order: str, words: list[int]
) -> None:
    event = Registers(0, word_order=order, packed=PackedFormat(form)).decode(words, 1.0)
    assert isinstance(event, Reading) or event.why
