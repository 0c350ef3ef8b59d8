"""A gauge on a pseudo terminal, as a process of its own: writes what its standard input says."""

import os
import sys


def main(link: str) -> None:
    master, slave = os.openpty()
    os.symlink(os.ttyname(slave), link + ".new")
    os.replace(link + ".new", link)
    print("ready", flush=True)
    for line in sys.stdin:
        os.write(master, bytes.fromhex(line))


if __name__ == "__main__":
    main(sys.argv[1])
