"""The checks that ``python3 tests`` runs, in the order of how soon they answer."""

import os
import subprocess
import sys
import sysconfig
import time

from app.bootstrap import ROOT

_SCRIPTS = sysconfig.get_path("scripts")
# Two processes: what the smallest machine has. Idle ones take over what waits for a busy one.
_PARALLEL = ["-n", "2", "--dist", "worksteal"]


def run(arguments: list[str]) -> int:
    """Run every check, or pytest alone where it was given arguments; 0 where all passed."""
    environment = {"QT_QPA_PLATFORM": "offscreen", **os.environ}
    if [argument for argument in arguments if argument != "--slow"]:
        return _call([sys.executable, "-m", "pytest", *arguments], environment)
    failed = []
    for name, command in _checks(arguments).items():
        print(f"\n=== {name}", flush=True)
        start_s = time.monotonic()
        code = _call(command, environment)
        if code != 0:
            failed.append(name)
        print(f"=== {name}: {_verdict(code)} ({time.monotonic() - start_s:.0f} s)", flush=True)
    return _summary(failed, total=len(_checks(arguments)))


def _checks(slow: list[str]) -> dict[str, list[str]]:
    python = [sys.executable, "-m"]
    return {
        "ruff check": [*python, "ruff", "check", "."],
        "ruff format": [*python, "ruff", "format", "--check", "."],
        "imports between layers": [os.path.join(_SCRIPTS, "lint-imports")],
        "mypy": [*python, "mypy"],
        "pytest": [*python, "pytest", *_PARALLEL, *slow],
    }


def _call(command: list[str], environment: dict[str, str]) -> int:
    return subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode


def _verdict(code: int) -> str:
    return "passed" if code == 0 else f"FAILED (exit {code})"


def _summary(failed: list[str], *, total: int) -> int:
    """Say what failed, and close with the one line that counts the checks."""
    if failed:
        print("\nFailed: " + ", ".join(failed))
    print(f"\nchecks: {total - len(failed)} passed, {len(failed)} failed", flush=True)
    return 1 if failed else 0
