"""``python -m tests.fuzz --minutes 10 NAME``: try one reader, or all of them one by one."""

import argparse

from tests.fuzz.runner import Fuzzer
from tests.fuzz.targets import TARGETS


def main(arguments: list[str] | None = None) -> int:
    """Run, and print what was tried; a defect ends it with the smallest input that shows it."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join(TARGETS)}")
    parser.add_argument("--minutes", type=float, default=10.0, help="for each")
    parser.add_argument("--seed", type=int, default=0, help="the first; one more each batch")
    args = parser.parse_args(arguments)
    for name in args.names or TARGETS:
        if name not in TARGETS:
            parser.error(f"no fuzzer {name}; there is {', '.join(TARGETS)}")
        print(Fuzzer(TARGETS[name], args.seed).run_for(60.0 * args.minutes), flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
