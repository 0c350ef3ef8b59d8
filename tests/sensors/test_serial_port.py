import asyncio
import errno
import sys
from contextlib import AbstractContextManager
from functools import partial
from pathlib import Path

import pytest
import serial

from sensors.events import Reading, SensorError
from sensors.keep_alive import KeepAlive
from sensors.port import why_not_open
from sensors.serial_port import SerialSensor
from sensors.text_decoder import TextFormat
from tests.sensors.gauge_process import GaugeProcess, gauge_process
from tests.sensors.heard import Heard
from tests.sensors.tasks import stopped

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="pseudo terminals are POSIX")
PA = TextFormat(unit="pa")


def feeding(link: Path) -> AbstractContextManager[GaugeProcess]:
    return gauge_process("tests.sensors.pty_feeder", link)


def has_read(count: int, heard: Heard) -> bool:
    return len(heard.readings()) == count


def test_every_whole_line_once_over_a_feeder_that_dies_in_mid_line(tmp_path: Path) -> None:
    port = tmp_path / "gauge"

    async def main() -> None:
        heard = Heard()
        alive = KeepAlive(SerialSensor(str(port), 9600, PA), first_retry_s=0.01)
        task = asyncio.ensure_future(alive.run(heard))
        await heard.until(lambda h: h.links() == ["lost"])  # not plugged in yet
        for part in range(2):
            with feeding(port) as feeder:
                await heard.until(lambda h: h.links()[-1] == "connected")
                feeder.write(b"23\r\n")  # what is left of "523"
                for number in range(300):
                    feeder.write(b"%d.%03d\r\n" % (part + 1, number))
                await heard.until(partial(has_read, 300 * (part + 1)))
                feeder.write(b"99")  # of "998.5"
                feeder.die()
            await heard.until(lambda h: h.links()[-1] == "lost")
        await stopped(task)
        assert heard.links() == ["lost", "connected", "lost", "connected", "lost"]
        expected = [part + 1 + number / 1000 for part in range(2) for number in range(300)]
        assert [r.pressure_pa for r in heard.readings()] == pytest.approx(expected, abs=1e-12)
        # The kernel may throw the last bytes away when the other end dies.
        rejected = [r.raw for r in heard.rejected()]
        assert [raw for raw in rejected if raw != b"99"] == [b"23", b"23"]

    asyncio.run(main())


def test_a_line_after_quiet_is_whole_and_cancelling_closes_the_port(tmp_path: Path) -> None:
    port = tmp_path / "gauge"

    async def main() -> None:
        heard = Heard()
        with feeding(port) as feeder:
            task = asyncio.ensure_future(SerialSensor(str(port), 9600, PA).run(heard))
            await heard.until(lambda h: h.links() == ["connected"])
            await asyncio.sleep(0.6)  # more than twice the quiet time
            feeder.write(b"523\n")
            await heard.until(lambda h: len(h.events) > 1)
            assert isinstance(heard.events[1], Reading)
            await stopped(task)
            assert task.cancelled()
            with serial.serial_for_url(str(port), exclusive=True):  # free again
                pass

    asyncio.run(main())


def test_a_taken_port(tmp_path: Path) -> None:
    port = tmp_path / "gauge"
    with (
        feeding(port),
        serial.serial_for_url(str(port), exclusive=True),
        pytest.raises(SensorError, match="taken: another program") as caught,
    ):
        asyncio.run(SerialSensor(str(port)).run(Heard()))
    assert not caught.value.is_final


def test_a_missing_port_and_one_that_is_no_port(tmp_path: Path) -> None:
    with pytest.raises(SensorError, match="There is no port") as caught:
        asyncio.run(SerialSensor(str(tmp_path / "none")).run(Heard()))
    assert not caught.value.is_final
    (tmp_path / "file").touch()
    with pytest.raises(SensorError, match="is no serial port"):
        asyncio.run(SerialSensor(str(tmp_path / "file")).run(Heard()))


def test_no_permission_names_the_group() -> None:
    error = serial.SerialException(errno.EACCES, "could not open port")
    assert "dialout" in why_not_open("/dev/ttyUSB0", error)


def test_a_baud_rate_the_port_refuses_is_final(tmp_path: Path) -> None:
    port = tmp_path / "gauge"
    with feeding(port), pytest.raises(SensorError, match="baud") as caught:
        asyncio.run(SerialSensor(str(port), 2**40).run(Heard()))
    assert caught.value.is_final


def test_a_fault_in_emit_is_not_hidden_as_a_lost_port(tmp_path: Path) -> None:
    def emit(event: object) -> None:
        raise AttributeError("a fault of ours")

    with feeding(tmp_path / "gauge"), pytest.raises(AttributeError, match="a fault of ours"):
        asyncio.run(SerialSensor(str(tmp_path / "gauge")).run(emit))
