"""The command line: one parser, one file a command, exit codes 0, 1 and 2."""

import argparse
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, nullcontext
from importlib import import_module
from typing import NoReturn

from app import __version__
from app.output.streams import standard_streams
from app.system.errors import UsageError

COMMANDS = (
    "window",
    "demo",
    "watch",
    "find",
    "analyse",
    "hold",
    "report",
    "export",
    "verify",
    "doctor",
)
OURS, WRONG_USE = 1, 2


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """Say what is wrong in one line, without the usage text above it."""
        self.exit(WRONG_USE, f"{self.prog}: {message} (see {self.prog} --help)\n")


def build_parser(names: Sequence[str] = COMMANDS) -> argparse.ArgumentParser:
    """Give the parser with these commands in it."""
    parser = _Parser(
        prog="simmerdown",
        description="Follows the evacuation of a vehicle's air-conditioning circuit: shows how "
        "water boils off, runs the standing test, and keeps the record. It advises; local codes, "
        "the vehicle maker's procedure and licensed practice decide.",
    )
    parser.add_argument("--version", action="version", version=f"simmerdown {__version__}")
    subparsers = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in names:
        import_module(f"app.commands.{name}").add_parser(subparsers)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code: 0 done, 2 wrong use or input, 1 a fault of ours."""
    given = list(sys.argv[1:] if argv is None else argv) or ["window"]
    # A command that is named first needs no other one's imports: the window opens at once.
    names = given[:1] if given[0] in COMMANDS else COMMANDS
    program = f"simmerdown {given[0]}" if given[0] in COMMANDS else "simmerdown"
    try:
        with standard_streams(program) as output:
            code = _run(build_parser(names).parse_args(given))
    except BrokenPipeError:  # the reader of our output went away (`| head`): not worth a word
        return 0
    return WRONG_USE if code == 0 and output.is_lost else code


def _run(args: argparse.Namespace) -> int:
    # The window tells faults itself, once its frame is there: the log's import would delay it.
    try:
        with nullcontext() if getattr(args, "tells_faults", False) else _faults_told():
            return _code_of(args)
    except UsageError as error:
        print(f"simmerdown {args.command}: {error}", file=sys.stderr)
        return WRONG_USE


def _code_of(args: argparse.Namespace) -> int:
    try:
        return int(args.run(args))
    except KeyboardInterrupt:
        return 130
    except (UsageError, BrokenPipeError):
        raise
    except Exception as fault:
        from app.system.log import FaultReporter

        FaultReporter().report(type(fault), fault, fault.__traceback__)
        return OURS


@contextmanager
def _faults_told() -> Iterator[None]:
    """Log, and tell each unhandled fault of any thread once, as long as the command runs."""
    from app.system.log import FaultReporter, start_log, stop_log

    start_log()
    hooks = sys.excepthook, threading.excepthook
    reporter = FaultReporter()
    reporter.install()
    try:
        yield
    finally:
        sys.excepthook, threading.excepthook = hooks
        stop_log()


if __name__ == "__main__":
    sys.exit(main())
