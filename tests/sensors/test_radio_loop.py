import asyncio
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from sensors.ble_radio import listening
from sensors.radio_loop import on_radio, radio_loop


@pytest.fixture(autouse=True)
def ended() -> Iterator[None]:
    yield
    radio_loop.end(5.0)
    radio_loop.end(5.0)  # twice does no harm
    assert "simmerdown-radio" not in [thread.name for thread in threading.enumerate()]


def test_all_loops_share_one_and_results_and_faults_come_back() -> None:
    async def where() -> int:
        return threading.get_ident()

    async def broken() -> None:
        raise KeyError("x")

    async def main() -> int:
        with pytest.raises(KeyError):
            await on_radio(broken())
        here = await on_radio(where())
        assert here == await on_radio(where()) != threading.get_ident()
        return here

    assert asyncio.run(main()) == asyncio.run(main())


@pytest.mark.parametrize("times", [1, 3])
@pytest.mark.parametrize("end", [None, ValueError("while cleaning up")])
def test_cancelling_waits_for_the_clean_up(times: int, end: Exception | None) -> None:
    told: list[str] = []

    async def search(begun: threading.Event) -> None:
        try:
            begun.set()
            await asyncio.Event().wait()
        finally:
            for _ in range(3):
                told.append("cleaning up")
                try:
                    await asyncio.sleep(0.01)
                except asyncio.CancelledError:
                    told.append("hurried")
            if end is not None:
                raise end

    async def main() -> None:
        begun = threading.Event()
        task = asyncio.ensure_future(on_radio(search(begun)))
        await asyncio.to_thread(begun.wait)
        for _ in range(times):
            task.cancel()
            await asyncio.sleep(0)
        with pytest.raises(asyncio.CancelledError):
            await task
        assert told.count("cleaning up") == 3

    asyncio.run(main())


@pytest.mark.parametrize("is_pending", [False, True])
def test_a_program_ends_cleanly_whatever_the_radio_does(is_pending: bool) -> None:
    program = """
import asyncio, contextlib, sys, threading
from sensors.radio_loop import on_radio

def use(for_s):
    asyncio.run(on_radio(asyncio.sleep(for_s)))

use(0.0)
if sys.argv[1] == "True":
    begun = threading.Event()
    async def search():
        begun.set()
        await asyncio.Event().wait()
    def job():
        with contextlib.suppress(asyncio.CancelledError):
            asyncio.run(on_radio(search()))
    threading.Thread(target=job, daemon=True).start()
    begun.wait()
print("over")
"""
    ended = subprocess.run(
        [sys.executable, "-c", program, str(is_pending)],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    assert (ended.stdout, ended.stderr) == ("over\n", "")


def test_a_loop_of_another_kind_may_not_search() -> None:
    async def main() -> None:
        with pytest.raises(RuntimeError, match="only the radio's own loop"):
            async with listening(lambda *_: None):
                pass

    asyncio.run(main())
