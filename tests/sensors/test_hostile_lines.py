"""What real lines do to a gauge's text: the wrong speed, garbage, lines cut anywhere."""

import asyncio
import sys
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.gauge.listen import Listening
from sensors.events import Reading, Rejected
from sensors.keep_alive import KeepAlive
from sensors.line_decoder import RawLines
from sensors.serial_port import SerialSensor
from sensors.text_decoder import TextDecoder, TextFormat
from tests.sensors.heard import Heard
from tests.sensors.tasks import stopped
from tests.sensors.test_serial_port import PA, feeding
from tests.sensors.uart import received

LINES = b"".join(b"G1;%d micron;21,5 C\r\n" % n for n in range(500, 560))


def test_the_pretended_wire_is_true_at_the_right_speed() -> None:
    assert received(LINES, sent_baud=9600, read_baud=9600) == LINES
    # 0x55 is the square wave: at half its speed every other level is missed.
    assert received(b"U", sent_baud=9600, read_baud=9700) == b"U"


RATES = [1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200]


@pytest.mark.parametrize("sent", RATES)
@pytest.mark.parametrize("read", RATES)
def test_at_the_wrong_speed_no_reading_is_made_up(sent: int, read: int) -> None:
    data = received(LINES, sent_baud=sent, read_baud=read)
    out = TextDecoder(TextFormat(unit="pa", field="2")).feed(data, 1.0)
    if sent == read:
        assert len([e for e in out if isinstance(e, Reading)]) == 59
        return
    assert [event for event in out if isinstance(event, Reading)] == []
    listening = Listening(f"serial:COM3?baud={read}")
    for event in RawLines().feed(data + b"\n", 1.0):
        listening.take(event)
    assert listening.proposals() == []
    if listening.lines:
        assert listening.trouble is not None
        assert listening.trouble.code == "garbled"


@given(
    st.lists(st.binary(max_size=12), max_size=6),
    st.lists(st.integers(0, 4000), max_size=12),
)
@settings(max_examples=60)
def test_garbage_between_lines_costs_only_the_lines_it_touches(
    garbage: list[bytes], cuts: list[int]
) -> None:
    """Whole lines with garbage on lines of its own: every one is read, in order, however split."""
    parts, expected = [], []
    for number, junk in enumerate([*garbage, b""], start=1):
        clean = bytes(b for b in junk if b not in b"\r\n") + b"?"  # no number, no comment
        parts += [b"!" + clean + b"\r\n", b"%d.5\r\n" % number]
        expected.append(number + 0.5)
    data = b"".join(parts)
    ends = [0, *sorted(cut % (len(data) + 1) for cut in cuts), len(data)]
    decoder = TextDecoder(PA, is_start_whole=True)
    out = [event for a, b in pairwise(ends) for event in decoder.feed(data[a:b], 1.0)]
    assert [e.pressure_pa for e in out if isinstance(e, Reading)] == expected
    assert len([e for e in out if isinstance(e, Rejected)]) == len(expected)


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo terminals are POSIX")
@pytest.mark.parametrize("rate_hz", [0.0, 5.0, 50.0])
def test_any_rate_from_silence_to_fifty_a_second(tmp_path: Path, rate_hz: float) -> None:
    """At rate 0 only the watchdog speaks; else each line is told when it came, not later."""
    port = tmp_path / "gauge"

    async def main() -> None:
        heard = Heard()
        alive = KeepAlive(
            SerialSensor(str(port), 9600, PA), silence_s=10 if rate_hz else 0.6, first_retry_s=0.05
        )
        with feeding(port) as feeder:
            task = asyncio.ensure_future(alive.run(heard))
            await heard.until(lambda h: h.links() == ["connected"])
            if not rate_hz:
                await heard.until(lambda h: h.links()[:3] == ["connected", "lost", "connected"])
                assert heard.readings() == []
            else:
                await send(feeder.write, heard, rate_hz)
            await stopped(task)

    asyncio.run(main())


async def send(write: object, heard: Heard, rate_hz: float) -> None:
    assert callable(write)
    write(b"0\n")
    loop = asyncio.get_running_loop()
    begun_s, sent_s = loop.time(), []
    for number in range(int(rate_hz)):
        await asyncio.sleep(begun_s + number / rate_hz - loop.time())
        write(b"%d\n" % number)
        sent_s.append(loop.time())
    await heard.until(lambda h: len(h.readings()) == len(sent_s))
    readings = heard.readings()
    assert [r.pressure_pa for r in readings] == list(range(len(sent_s)))
    assert heard.links() == ["connected"]
    span_s = readings[-1].time_s - readings[0].time_s
    assert span_s == pytest.approx(sent_s[-1] - sent_s[0], abs=0.5)
