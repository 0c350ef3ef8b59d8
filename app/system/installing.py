"""Sets up ``.venv``: the environment, the locked packages, the program itself.

Standard library only. pip's own output goes to ``.venv/setup.log``; the user sees a short line
for each step, on standard error because standard output belongs to the command's answer.
"""

import contextlib
import errno
import os
import re
import shutil
import subprocess
import sys
import venv
from collections.abc import Iterator

from app import bootstrap
from app.system import qt_libraries

# Free space asked for before starting: measured, 343 and 658 MB installed on Linux, and about a
# third of that again for the downloads.
_NEEDED_MB = {False: 500, True: 900}
_LOCK_NAME = "setup.lock"
_LOG = os.path.join(bootstrap.VENV, "setup.log")
_UNFINISHED = os.path.join(bootstrap.VENV, "unfinished")
_NO_SPACE = "there is not enough free disk space in {}"
# What pip says -> what the user is told. The first that matches counts.
_PIP_FAULTS = (
    (
        r"No space left on device|Errno 28|not enough space",
        _NO_SPACE.format(bootstrap.ROOT) + " or in the folder for temporary files",
    ),
    (
        r"NewConnectionError|NameResolutionError|ConnectTimeoutError|ReadTimeoutError|ProxyError"
        r"|ConnectionResetError|getaddrinfo|Network is unreachable",
        "the packages could not be fetched. The first start needs the internet",
    ),
    (r"SSLError|CERTIFICATE_VERIFY_FAILED", "the package index's certificate was not accepted"),
    (
        r"DO NOT MATCH THE HASHES",
        "a package that arrived is not the one this version was made with",
    ),
    (r"No matching distribution", "a package is not to be had for this system and Python"),
)


class SetupError(Exception):
    """Why the set-up could not be finished: the rest of a sentence for the user."""


def say(text: str) -> None:
    """Tell the user, on standard error."""
    print(text, file=sys.stderr, flush=True)


def set_up(*, for_tests: bool) -> None:
    """Install what is missing, or leave with one clear sentence. Safe to interrupt and to repeat.

    Starts at the same moment wait for each other, and a half-finished set-up is done afresh.
    """
    try:
        with _alone():
            if not bootstrap.is_ready(for_tests=for_tests):
                _install(for_tests=for_tests)
    except SetupError as fault:
        sys.exit(f"Simmerdown could not be set up: {fault}.")
    except OSError as fault:
        what = f"{fault.strerror}: {fault.filename}" if fault.filename else str(fault)
        if fault.errno == errno.ENOSPC:
            what = _NO_SPACE.format(bootstrap.ROOT)
        sys.exit(f"Simmerdown could not be set up: {what}.")
    except KeyboardInterrupt:
        say("\nThe set-up was interrupted. The next start does it again.")
        sys.exit(130)


def _install(*, for_tests: bool) -> None:
    free_mb = shutil.disk_usage(bootstrap.ROOT).free // 1_000_000
    if free_mb < _NEEDED_MB[for_tests]:
        needed = f"{free_mb} MB are free, {_NEEDED_MB[for_tests]} MB are needed"
        raise SetupError(f"{_NO_SPACE.format(bootstrap.ROOT)}: {needed}")
    if os.path.exists(_UNFINISHED) or not _is_usable():
        _clear()
    for kind in (False, True):
        if not bootstrap.is_ready(for_tests=kind):
            with contextlib.suppress(FileNotFoundError):
                os.remove(bootstrap.stamp_path(for_tests=kind))
    _write(_UNFINISHED, "A set-up was started here and has not been finished.\n")
    say("Setting up Simmerdown" + (" and its tests" if for_tests else "") + ", once ...")
    if not os.path.exists(bootstrap.venv_python()):
        venv.EnvBuilder(symlinks=os.name != "nt").create(bootstrap.VENV)
    locks = bootstrap.lock_files(for_tests=for_tests)
    arguments = [part for lock in locks for part in ("-r", lock)]
    # The locks are complete. With dependencies pip asks the index for those with extras again, and
    # refuses the whole lock as soon as one of them has a release newer than the lock's.
    _pip("install", "--no-deps", "--require-hashes", *arguments)
    editable = ["--no-deps", "--no-build-isolation", "-e", bootstrap.ROOT]
    _pip("install", *editable)  # refused together with hashes, hence apart
    qt_libraries.install_missing(say, _LOG, for_tests=for_tests)
    for kind in {False, for_tests}:
        _write(bootstrap.stamp_path(for_tests=kind), bootstrap.stamp_text(for_tests=kind))
    os.remove(_UNFINISHED)
    say("Ready.")


def _is_usable() -> bool:
    """Whether the environment, if any, can be built on: this folder's, with a Python that runs."""
    for kind in (False, True):
        with contextlib.suppress(OSError, UnicodeDecodeError):
            with open(bootstrap.stamp_path(for_tests=kind), encoding="utf-8") as stamp:
                python_and_root = stamp.read().split("\n")[:2]
            if python_and_root != bootstrap.stamp_text(for_tests=kind).split("\n")[:2]:
                return False
    asked = "import sys, encodings; sys.exit(sys.version_info < (3, 11))"
    try:
        command = [bootstrap.venv_python(), "-I", "-c", asked]
        return subprocess.run(command, capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def _clear() -> None:
    """Empty the environment, but for the lock that this process holds."""
    for entry in os.scandir(bootstrap.VENV):
        if entry.name == _LOCK_NAME:
            continue
        if entry.is_dir(follow_symlinks=False):
            shutil.rmtree(entry.path)
        else:
            os.remove(entry.path)


def _write(path: str, text: str) -> None:
    with open(path + ".new", "w", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    os.replace(path + ".new", path)


@contextlib.contextmanager
def _alone() -> Iterator[None]:
    """Hold the set-up's lock. The system lets go of it when the process ends, however it ends."""
    try:
        if os.path.islink(bootstrap.VENV):  # what it leads to, if anything, is not ours to empty
            raise FileExistsError
        os.makedirs(bootstrap.VENV, exist_ok=True)
    except FileExistsError:
        what = "a link" if os.path.islink(bootstrap.VENV) else "a file"
        why = f"{bootstrap.VENV} is {what}, where a folder is made; remove it and start again"
        raise SetupError(why) from None
    with open(os.path.join(bootstrap.VENV, _LOCK_NAME), "a+b") as lock:
        os.set_inheritable(lock.fileno(), True)
        if not _try_lock(lock.fileno(), wait=False):
            say("Another start is setting up Simmerdown; waiting for it ...")
            while not _try_lock(lock.fileno(), wait=True):
                pass
        yield


def _try_lock(descriptor: int, *, wait: bool) -> bool:
    if sys.platform == "win32":
        import msvcrt

        try:  # LK_LOCK gives up after ten seconds, so the caller asks again
            msvcrt.locking(descriptor, msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        return False
    return True


def _pip(*arguments: str) -> None:
    """Run pip for the environment; its output to the log, a moving line to a terminal."""
    options = ["--disable-pip-version-check", "--no-input", "--retries", "2"]
    with open(_LOG, "a", encoding="utf-8", errors="replace") as log:
        start = log.tell()
        with subprocess.Popen(
            [*_pip_command(), *arguments, *options, "--progress-bar", "off"],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
            cwd=bootstrap.VENV,
            env=_pip_environment(),
            close_fds=False,  # it holds the lock too: should this process be killed, pip goes on
        ) as pip:
            assert pip.stdout is not None
            for line in pip.stdout:
                log.write(line)
                _show(line)
            _show("")
        code = pip.wait()
    if code != 0:
        with open(_LOG, encoding="utf-8", errors="replace") as log:
            log.seek(start)
            raise SetupError(_meaning(log.read()))


def _meaning(output: str) -> str:
    for pattern, meaning in _PIP_FAULTS:
        if re.search(pattern, output):
            return f"{meaning} (details in {_LOG})"
    return f"pip reports a fault (see the end of {_LOG})"


def _show(line: str) -> None:
    """Overwrite one line of the terminal with what pip is doing; nothing where it is a file."""
    if not sys.stderr.isatty():
        return
    match = re.match(r"\s*(Collecting|Downloading|Installing|Building) (\S+)", line)
    if match or not line:
        name = f"  {match[1].lower()} {match[2].rsplit('/', 1)[-1]}" if match else ""
        print("\r\x1b[K" + name[:70], end="", file=sys.stderr, flush=True)


def _pip_command() -> list[str]:
    """Return the command of a pip that installs into the environment.

    Debian leaves out ensurepip, so the pip that is there is pointed at the environment
    (``--python``, since pip 22.3); a Python without pip or with an older one has ensurepip.
    """
    inside = [bootstrap.venv_python(), "-I", "-m", "pip"]
    if _answer([*inside, "--version"]):
        return inside
    outside = [sys.executable, "-m", "pip"]
    version = re.match(r"pip (\d+)\.(\d+)", _answer([*outside, "--version"]))
    if version and (int(version[1]), int(version[2])) >= (22, 3):
        return [*outside, "--python", bootstrap.venv_python()]
    if _answer([bootstrap.venv_python(), "-I", "-m", "ensurepip"]):
        return inside
    raise SetupError(
        "pip 22.3 or newer is needed (on Debian-likes: sudo apt-get install python3-pip)"
    )


def _answer(command: list[str]) -> str:
    """Return the standard output of ``command``, or nothing where it fails."""
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=bootstrap.VENV)
    return done.stdout if done.returncode == 0 else ""


def _pip_environment() -> dict[str, str]:
    """Return the environment for pip, without settings that lead away from ``.venv``."""
    unwanted = {"PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PIP_REQUIRE_HASHES", "PYTHONHOME"}
    kept = {name: value for name, value in os.environ.items() if name not in unwanted}
    return {**kept, "PIP_USER": "0", "PYTHONDONTWRITEBYTECODE": "1"}
