"""A gauge on a pseudo terminal, as a process of its own: writes what its standard input says."""

import os
import sys

from tests.sensors.gauge_process import open_line


def main(link: str) -> None:
    master = open_line(link)
    for line in sys.stdin:
        os.write(master, bytes.fromhex(line))


if __name__ == "__main__":
    main(sys.argv[1])
