"""Gauges that answer questions, over a real pseudo terminal in another process and over TCP."""

import asyncio
import sys
from collections.abc import Awaitable, Callable
from datetime import date
from pathlib import Path

import pytest

from sensors.calibration import Curve, Point
from sensors.catalogue import open_listener, open_sensor
from sensors.events import Connected, Rejected, Sensor, SensorError
from tests.sensors.gauge_process import gauge_process
from tests.sensors.heard import Heard
from tests.sensors.tasks import stopped

Serve = Callable[[asyncio.StreamReader, asyncio.StreamWriter], Awaitable[None]]


async def hear(sensor: Sensor, count: int) -> Heard:
    heard = Heard()
    task = asyncio.ensure_future(sensor.run(heard))
    await heard.until(lambda h: len(h.readings()) + len(h.rejected()) >= count)
    await stopped(task)
    return heard


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo terminals are POSIX")
def test_asked_on_a_serial_port_every_answer_is_read_once(tmp_path: Path) -> None:
    port = tmp_path / "gauge"
    with gauge_process("tests.sensors.answering_gauge", port):
        address = f"serial:{port}?query=P%3F%0D&every=0.02&unit=pa"
        heard = asyncio.run(hear(open_sensor(address), 20))
    values = [reading.pressure_pa for reading in heard.readings()]
    assert values == [float(n) for n in range(len(values))]  # the gauge counts its answers
    assert heard.rejected() == []  # its echo is none


def serve_answers(asked: list[bytes]) -> Serve:
    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while question := await reader.read(100):
            asked.append(question)
            if len(asked) != 3:  # one question gets no answer
                writer.write(b"%d mbar\r\n" % len(asked))
        writer.close()

    return serve


def test_asked_over_tcp_an_answer_that_never_comes_costs_a_second() -> None:
    asked: list[bytes] = []

    async def main() -> Heard:
        server = await asyncio.start_server(serve_answers(asked), "127.0.0.1", 0)
        async with server:
            port = server.sockets[0].getsockname()[1]
            return await hear(open_sensor(f"tcp:127.0.0.1:{port}?query=%05&every=0.05"), 5)

    heard = asyncio.run(main())
    readings = heard.readings()
    assert [r.pressure_pa for r in readings] == pytest.approx([100, 200, 400, 500, 600])
    assert readings[2].time_s - readings[1].time_s >= 1.0
    assert set(asked) == {b"\x05"}


def test_volts_through_the_profiles_curve_and_the_record_says_which() -> None:
    async def serve(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writer.write(b"4.0 V\r\n9.9 V\r\n")
        writer.close()

    points = (Point(2.0, 1.0), Point(3.0, 10.0))
    curve = Curve("log-linear", points, high=8.0, calibrated=date(2030, 1, 31), note="at air")

    async def main() -> Heard:
        server = await asyncio.start_server(serve, "127.0.0.1", 0)
        async with server:
            port = server.sockets[0].getsockname()[1]
            sensor = open_sensor(f"tcp:127.0.0.1:{port}?curve=head", curves={"head": curve})
            return await hear(sensor, 2)

    heard = asyncio.run(main())
    told = heard.readings()[:2]
    assert [reading.pressure_pa for reading in told] == pytest.approx([100.0, 1e6])
    assert [reading.status for reading in told] == ["ok", "over-range"]
    assert isinstance(heard.events[0], Connected)
    assert heard.events[0].detail.endswith("through its log-linear curve (2030-01-31, at air)")


def test_listening_gives_raw_lines_and_no_reading() -> None:
    async def serve(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writer.write(b"\xb5 garbage\r\n\r\n523 micron\r\n5")
        writer.close()

    async def main() -> Heard:
        server = await asyncio.start_server(serve, "127.0.0.1", 0)
        async with server:
            port = server.sockets[0].getsockname()[1]
            return await hear(open_listener(f"tcp:127.0.0.1:{port}?unit=pa"), 3)

    heard = asyncio.run(main())
    raw = [event.raw for event in heard.events if isinstance(event, Rejected)]
    assert raw[:3] == [b"\xb5 garbage", b"523 micron", b"5"]
    with pytest.raises(SensorError, match="listened to"):
        open_listener("sim:wet")


@pytest.mark.parametrize(
    ("options", "expected"),
    [
        ("every=1", "needs the option query"),
        ("query=P&every=0", "seconds from"),
        ("query=%C2%B5", "ASCII"),
        ("query=P?%0D", "%3F"),
        ("curve=a/b", "name of a curve"),
        ("curve=head", "no curve 'head'"),
    ],
)
def test_wrong_options(options: str, expected: str) -> None:
    with pytest.raises(SensorError, match=expected) as caught:
        open_sensor(f"serial:COM3?{options}")
    assert caught.value.is_final
