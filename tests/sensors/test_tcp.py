import asyncio
from collections.abc import Awaitable, Callable

import pytest

from sensors.events import Connected, Reading, Rejected, SensorError
from sensors.keep_alive import KeepAlive
from sensors.tcp import QUIET_S, TcpSensor
from sensors.text_decoder import TextFormat
from tests.sensors.heard import Heard
from tests.sensors.tasks import stopped

PA = TextFormat(unit="pa")
Serve = Callable[[asyncio.StreamReader, asyncio.StreamWriter], Awaitable[None]]


async def closing(writer: asyncio.StreamWriter, data: bytes) -> None:
    writer.write(data)
    await writer.drain()
    writer.close()
    await writer.wait_closed()


def serving(serve: Serve, use: Callable[[int], Awaitable[None]]) -> None:
    async def main() -> None:
        server = await asyncio.start_server(serve, "127.0.0.1", 0)
        async with server:
            await use(server.sockets[0].getsockname()[1])

    asyncio.run(main())


def test_lines_are_read_whole_from_the_first_and_the_cut_last_one_is_rejected() -> None:
    async def serve(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await closing(writer, b"523\r\n522 micron\r\nbad\r\n52")

    async def use(port: int) -> None:
        heard = Heard()
        with pytest.raises(SensorError, match="ended: the other side closed it") as caught:
            await TcpSensor("127.0.0.1", port, PA, clock=lambda: 7.0).run(heard)
        assert not caught.value.is_final
        assert heard.events[0] == Connected(7.0, f"127.0.0.1 port {port}")
        assert heard.events[1] == Reading(7.0, 523.0)
        assert [r.pressure_pa for r in heard.readings()] == pytest.approx([523, 522 * 0.1333224])
        assert [r.raw for r in heard.rejected()] == [b"bad", b"52"]

    serving(serve, use)


def test_behind_a_converter_the_first_line_may_be_cut() -> None:
    async def serve(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await closing(writer, b"23\n522\n")

    async def use(port: int) -> None:
        heard = Heard()
        with pytest.raises(SensorError):
            await TcpSensor("127.0.0.1", port, PA, is_start_whole=False).run(heard)
        assert [r.raw for r in heard.rejected()] == [b"23"]
        assert [r.pressure_pa for r in heard.readings()] == [522]

    serving(serve, use)


def test_behind_a_converter_a_line_after_quiet_is_whole() -> None:
    async def serve(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await asyncio.sleep(2 * QUIET_S)
        await closing(writer, b"523\n")

    async def use(port: int) -> None:
        heard = Heard()
        with pytest.raises(SensorError):
            await TcpSensor("127.0.0.1", port, PA, is_start_whole=False).run(heard)
        assert [r.pressure_pa for r in heard.readings()] == [523]

    serving(serve, use)


def test_nobody_listens() -> None:
    async def serve(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        raise AssertionError

    async def main() -> None:
        server = await asyncio.start_server(serve, "127.0.0.1", 0)
        port = server.sockets[0].getsockname()[1]
        server.close()
        await server.wait_closed()
        with pytest.raises(SensorError, match=f"Cannot connect to 127.0.0.1 port {port}") as caught:
            await TcpSensor("127.0.0.1", port).run(Heard())
        assert not caught.value.is_final
        with pytest.raises(SensorError, match="Cannot connect"):
            await TcpSensor("no such host", port).run(Heard())
        with pytest.raises(SensorError, match="Cannot connect"):
            await TcpSensor("x" * 300, port).run(Heard())

    asyncio.run(main())


def test_comes_back_after_the_server_did_and_every_whole_line_comes_once() -> None:
    parts = [b"1\n2\n3", b"4\n5\n", b"6\n"]

    async def serve(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await closing(writer, parts.pop(0) if parts else b"")

    async def use(port: int) -> None:
        heard = Heard()
        alive = KeepAlive(TcpSensor("127.0.0.1", port, PA), first_retry_s=0.01)
        task = asyncio.ensure_future(alive.run(heard))
        await heard.until(lambda h: len(h.readings()) == 5)
        await stopped(task)
        assert [r.pressure_pa for r in heard.readings()] == [1, 2, 4, 5, 6]
        assert heard.links()[:5] == ["connected", "lost", "connected", "lost", "connected"]
        assert [r.raw for r in heard.events if isinstance(r, Rejected)] == [b"3"]

    serving(serve, use)


def test_cancelling_ends_it_at_once() -> None:
    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writer.write(b"5\n")
        assert await reader.read() == b""  # until the other side is gone
        writer.close()

    async def use(port: int) -> None:
        heard = Heard()
        task = asyncio.ensure_future(TcpSensor("127.0.0.1", port, PA).run(heard))
        await heard.until(lambda h: len(h.readings()) == 1)
        await stopped(task)
        assert task.cancelled()

    serving(serve, use)
