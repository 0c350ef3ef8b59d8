"""Makes ``python3 app`` and ``python3 tests`` work on a machine with only Python and pip.

Standard library only, and imported before anything is installed. This file and both
``__main__.py`` must parse on Python 3.6, so that an old Python is told what is needed instead of
getting a syntax error. The installing is in ``app/system/installing.py``, imported only when
something is missing: a second start compares one small stamp and hands over to the environment's
Python.
"""

import os
import sys

if sys.version_info < (3, 11):  # noqa: UP036 - this is the line that tells an old Python
    sys.exit("Simmerdown needs Python 3.11 or newer; this is Python " + sys.version.split()[0])

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
VENV = os.path.join(ROOT, ".venv")


def venv_python() -> str:
    """Path of the environment's Python."""
    if os.name == "nt":
        return os.path.join(VENV, "Scripts", "python.exe")
    return os.path.join(VENV, "bin", "python")


def lock_files(*, for_tests: bool) -> list[str]:
    """Paths of the lock files whose packages are wanted."""
    locks = [os.path.join(ROOT, "requirements.lock")]
    if for_tests:
        locks.append(os.path.join(ROOT, "tests", "requirements.lock"))
    return locks


def stamp_path(*, for_tests: bool) -> str:
    """Path of the stamp: written last, it says that a set-up was finished."""
    return os.path.join(VENV, "simmerdown-tests.stamp" if for_tests else "simmerdown.stamp")


def stamp_text(*, for_tests: bool) -> str:
    """Return what the stamp must hold: the environment's Python, this folder, the locks."""
    import hashlib

    digest = hashlib.sha256()
    for path in lock_files(for_tests=for_tests):
        with open(path, "rb") as lock:
            digest.update(lock.read())
    return "\n".join([os.path.realpath(venv_python()), ROOT, digest.hexdigest(), ""])


def is_ready(*, for_tests: bool) -> bool:
    """Whether exactly these packages were installed for this Python and this folder."""
    try:
        with open(stamp_path(for_tests=for_tests), encoding="utf-8") as stamp:
            written = stamp.read()
        return written == stamp_text(for_tests=for_tests) and os.path.exists(venv_python())
    except (OSError, UnicodeDecodeError):
        return False


def is_inside_venv() -> bool:
    """Whether this process itself runs on the environment's Python."""
    return os.path.realpath(sys.prefix) == os.path.realpath(VENV)


def ensure(folder: str, *, for_tests: bool = False) -> None:
    """Return inside a complete environment, or leave with one clear sentence.

    Outside of it, what is missing is installed and ``folder`` (the folder run as a program) is
    run again with the environment's Python. An installed or frozen program has no lock file
    beside it and needs nothing.
    """
    if is_inside_venv() or not os.path.exists(lock_files(for_tests=False)[0]):
        return
    if not is_ready(for_tests=for_tests):
        from app.system.installing import set_up

        set_up(for_tests=for_tests)
    command = [venv_python(), os.path.join(ROOT, folder), *sys.argv[1:]]
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:  # it was closed
            stream.flush()
    if os.name == "nt":
        sys.exit(_run_and_wait(command))
    os.execv(command[0], command)


def _run_and_wait(command: list[str]) -> int:
    """Run on Windows, where ``execv`` gives the prompt back at once."""
    import subprocess

    child = subprocess.Popen(command)
    while True:
        try:
            return child.wait()
        except KeyboardInterrupt:  # the child got it too, and decides what it means
            continue
