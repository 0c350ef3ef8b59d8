"""A gauge on a pseudo terminal that sends numbered lines at its own pace, as a process of its own.

On ``speak`` it begins, with the end of a line begun before: sooner, what it says while somebody
opens the port would be flushed with the port's old bytes. On ``stop`` it says which number was its
last; on ``die`` it is gone in the middle of a line.
"""

import os
import select
import sys
import time

from tests.sensors.gauge_process import open_line


def main(link: str, first: int, rate_hz: float) -> None:
    master = open_line(link)
    sys.stdin.readline()
    os.write(master, b"0\r\n")
    number, due_s = first, time.monotonic()
    while not select.select([sys.stdin], [], [], max(0.0, due_s - time.monotonic()))[0]:
        os.write(master, b"G1;%d;21,5\r\n" % number)
        number, due_s = number + 1, due_s + 1.0 / rate_hz
    sys.stdin.readline()
    print(number - 1, flush=True)
    sys.stdin.readline()
    os.write(master, b"G1;99")


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), float(sys.argv[3]))
