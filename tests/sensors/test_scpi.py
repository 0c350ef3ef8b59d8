import asyncio
import sys
import threading
from collections.abc import Awaitable, Callable
from typing import Any

import pytest
import serial
from hypothesis import given, settings
from hypothesis import strategies as st

from sensors import scpi
from sensors.catalogue import open_sensor
from sensors.events import Connected, Reading, Rejected, SensorError
from sensors.keep_alive import KeepAlive
from sensors.lines import LONGEST_LINE
from sensors.scpi import ScpiSensor
from sensors.scpi_answers import AnswerBuffer, decode_answer
from sensors.text_decoder import TextFormat
from tests.sensors.heard import Heard
from tests.sensors.tasks import serving, stopped

PA = TextFormat(unit="pa", delimiter=",")


class Instrument:
    """Answers its questions in turn; the last answer again and again. Keeps what it was asked."""

    def __init__(self, *answers: bytes, identity: bytes = b"Invented,Gauge 1,7,0.1\r\n") -> None:
        self.answers, self.identity = list(answers), identity
        self.errors: list[bytes] = []
        self.asked: list[bytes] = []

    async def serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while line := await reader.readline():
            self.asked.append(line)
            if line == b"*IDN?\n":
                writer.write(self.identity)
            elif line == b"SYST:ERR?\n":
                writer.write(self.errors.pop(0) if self.errors else b'0,"No error"\n')
            elif b"?" in line:
                answer = self.answers.pop(0) if len(self.answers) > 1 else self.answers[0]
                if answer == b"hang up":
                    break
                writer.write(answer)


def using(instrument: Instrument, use: Callable[[str], Awaitable[None]]) -> None:
    async def main() -> None:
        async with serving(instrument.serve) as target:
            await use(target)

    asyncio.run(main())


def test_identifies_asks_and_reads_all_three_kinds_of_number() -> None:
    # NR1, NR2 and NR3: IEEE 488.2, 8.7.2 to 8.7.4.
    instrument = Instrument(b"66\n", b"+66.5\r\n", b"6.650E+01\n", b"-0.0\n", b"9.9E37\n")

    async def use(target: str) -> None:
        heard = Heard()
        sensor = ScpiSensor(target, every_s=0.01, clock=lambda: 7.0)
        task = asyncio.ensure_future(sensor.run(heard))
        await heard.until(lambda h: len(h.readings()) >= 5)
        await stopped(task)
        assert heard.events[0] == Connected(7.0, "Invented,Gauge 1,7,0.1")
        assert [r.pressure_pa for r in heard.readings()][:4] == [66, 66.5, 66.5, 0]
        assert heard.readings()[4].status == "over-range"
        assert not heard.rejected()
        assert instrument.asked[:3] == [b"*CLS\n", b"*IDN?\n", b"MEAS:PRES?\n"]
        assert b"SYST:ERR?\n" not in instrument.asked

    using(instrument, use)


def test_its_address_names_question_field_and_unit() -> None:
    instrument = Instrument(b"21.5,500\n")

    async def use(target: str) -> None:
        address = f"scpi:{target}?query=MEAS:ALL? (@1)&every=0.02&field=2&unit=micron&temperature=1"
        heard = Heard()
        task = asyncio.ensure_future(open_sensor(address).run(heard))
        await heard.until(lambda h: len(h.readings()) >= 2)
        await stopped(task)
        assert heard.readings()[0].pressure_pa == pytest.approx(66.6612)  # 500 x 0.1333224
        assert heard.readings()[0].temperature_c == 21.5
        assert instrument.asked[2] == b"MEAS:ALL? (@1)\n"

    using(instrument, use)


def test_a_wrong_answer_is_rejected_with_the_instruments_own_error() -> None:
    instrument = Instrument(b"oops\n", b"#0\n", b"5\n")
    # SCPI-1999, volume 2, 21.8.9: -113 is an undefined header.
    instrument.errors = [b'-113,"Undefined header"\n']

    async def use(target: str) -> None:
        heard = Heard()
        task = asyncio.ensure_future(ScpiSensor(target, every_s=0.01).run(heard))
        await heard.until(lambda h: bool(h.readings()))
        await stopped(task)
        first, second = heard.rejected()
        assert first.raw == b"oops"
        assert '-113,"Undefined header"' in first.why
        assert second == Rejected(second.time_s, b"#0\n", "the answer is no number")

    using(instrument, use)


def test_an_unanswered_question_is_told_with_the_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(scpi, "_ANSWER_S", 0.1)
    instrument = Instrument(b"", b"5\n")
    instrument.errors = [b'-113,"Undefined header"\n']

    async def use(target: str) -> None:
        heard = Heard()
        task = asyncio.ensure_future(ScpiSensor(target, "PRES", every_s=0.01).run(heard))
        await heard.until(lambda h: bool(h.readings()))
        await stopped(task)
        assert [r.raw for r in heard.rejected()] == [b""]
        assert "no answer; the instrument's error: -113" in heard.rejected()[0].why
        assert instrument.asked[2] == b"PRES?\n"

    using(instrument, use)


def test_what_is_no_instrument_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(scpi, "_ANSWER_S", 0.1)

    async def use(target: str) -> None:
        with pytest.raises(SensorError, match="does not answer \\*IDN") as caught:
            await ScpiSensor(target).run(Heard())
        assert not caught.value.is_final

    using(Instrument(b"1\n", identity=b""), use)


def test_comes_back_after_the_connection_ended() -> None:
    instrument = Instrument(b"1\n", b"hang up", b"2\n")

    async def use(target: str) -> None:
        heard = Heard()
        alive = KeepAlive(ScpiSensor(target, every_s=0.01), first_retry_s=0.01)
        task = asyncio.ensure_future(alive.run(heard))
        await heard.until(lambda h: len(h.readings()) == 2)
        await stopped(task)
        assert heard.links() == ["connected", "lost", "connected"]

    using(instrument, use)


def test_nobody_is_there() -> None:
    with pytest.raises(SensorError, match="Cannot open"):
        asyncio.run(ScpiSensor("127.0.0.1:1").run(Heard()))
    with pytest.raises(SensorError, match="There is no port"):
        asyncio.run(ScpiSensor("/dev/no such port").run(Heard()))


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo terminals are POSIX")
def test_on_a_serial_line(pty_pair: tuple[str, str]) -> None:
    theirs, ours = pty_pair

    is_over = threading.Event()

    def answer() -> None:
        line: Any = serial.serial_for_url(theirs, timeout=0.05)
        answers = {b"*IDN?\n": b"Invented,G,1,0\n", b"MEAS:PRES?\n": b"+6.65E1\n7\n"}
        while not is_over.is_set():
            asked = line.readline()
            line.write(answers.get(asked, b""))  # the 7 is one line too many
            if asked == b"MEAS:PRES?\n":
                answers[asked] = b"+6.66E1\n"
        line.close()

    async def main() -> None:
        heard = Heard()
        instrument = asyncio.ensure_future(asyncio.to_thread(answer))
        task = asyncio.ensure_future(open_sensor(f"scpi:{ours}?every=0.05").run(heard))
        await heard.until(lambda h: len(h.readings()) >= 3)
        await stopped(task)
        is_over.set()
        await instrument
        assert [r.pressure_pa for r in heard.readings()][:3] == pytest.approx([66.5, 66.6, 66.6])
        assert [(r.raw, r.why) for r in heard.rejected()] == [
            (b"7\n", "it came unasked, or too late")
        ]

    asyncio.run(main())


@given(st.binary(max_size=60), st.booleans())
def test_any_answer_gives_at_least_one_reading_or_rejection(data: bytes, has_end: bool) -> None:
    events = decode_answer(PA, data + b"\n" * has_end, 3.0)
    assert events
    assert all(isinstance(event, Reading | Rejected) for event in events)


@given(
    st.lists(
        st.binary(max_size=30) | st.sampled_from([b"\n", b"6.65E1\n", b"x" * 4200]), max_size=6
    )
)
@settings(max_examples=40)
def test_any_cut_of_the_same_bytes_gives_the_same_answers(pieces: list[bytes]) -> None:
    def answers(parts: list[bytes]) -> list[bytes]:
        buffer, out = AnswerBuffer(), []
        for part in parts:
            answer = buffer.feed(part)
            while answer is not None:
                out.append(answer)
                answer = buffer.feed(b"")
        return [*out, buffer.take_rest()]

    whole = b"".join(pieces)
    told = answers(pieces)
    assert told == answers([whole]) == answers([whole[at : at + 1] for at in range(len(whole))])
    assert b"".join(told) == whole
    assert all(len(answer) <= LONGEST_LINE for answer in told[:-1])
    assert all(answer.endswith(b"\n") or len(answer) == LONGEST_LINE for answer in told[:-1])
