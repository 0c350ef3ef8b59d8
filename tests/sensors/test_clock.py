import sys
import time

import pytest

from sensors.clock import now_s


def test_never_goes_back() -> None:
    times = [now_s() for _ in range(1000)]
    assert times == sorted(times)


@pytest.mark.skipif(sys.platform != "linux", reason="/proc/uptime is Linux's")
def test_counts_the_time_asleep() -> None:
    # proc(5): the first number is the uptime of the system, "including time spent in suspend".
    with open("/proc/uptime") as file:
        uptime_s = float(file.read().split()[0])
    boot_s = time.clock_gettime(time.CLOCK_BOOTTIME)
    if abs(uptime_s - boot_s) > 5:
        pytest.skip("this machine's /proc/uptime is not its own (a container)")
    assert now_s() == pytest.approx(uptime_s, abs=5)
