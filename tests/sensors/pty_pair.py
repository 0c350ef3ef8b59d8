"""A serial line between two pseudo terminals, as a process of its own."""

import os
import select
import sys
import tty


def main() -> None:
    one, other = os.openpty(), os.openpty()
    for _, slave in (one, other):
        tty.setraw(slave)
    print("ready")
    print(os.ttyname(one[1]), os.ttyname(other[1]), flush=True)
    across = {one[0]: other[0], other[0]: one[0], sys.stdin.fileno(): None}
    while True:
        for ready in select.select(list(across), [], [])[0]:
            target = across[ready]
            if target is None:
                return  # whoever started this is gone
            os.write(target, os.read(ready, 1024))


if __name__ == "__main__":
    main()
