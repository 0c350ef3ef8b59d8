"""The set-up: decisions, messages and locking. Installing for real is done by the two commands."""

import ast
import os
import re
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from app import bootstrap
from app.system import installing, qt_libraries

ROOT = Path(bootstrap.ROOT)


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give a project folder of its own, with locks and an environment that seems complete."""
    (tmp_path / "tests").mkdir()
    (tmp_path / "requirements.lock").write_text("a==1\n")
    (tmp_path / "tests" / "requirements.lock").write_text("b==1\n")
    venv = tmp_path / ".venv"
    monkeypatch.setattr(bootstrap, "ROOT", str(tmp_path))
    monkeypatch.setattr(bootstrap, "VENV", str(venv))
    monkeypatch.setattr(installing, "_LOG", str(venv / "setup.log"))
    monkeypatch.setattr(installing, "_UNFINISHED", str(venv / "unfinished"))
    python = Path(bootstrap.venv_python())
    python.parent.mkdir(parents=True)
    python.symlink_to(sys.executable)
    stamp(for_tests=False)
    return tmp_path


def stamp(*, for_tests: bool) -> None:
    text = bootstrap.stamp_text(for_tests=for_tests)
    Path(bootstrap.stamp_path(for_tests=for_tests)).write_text(text)


@pytest.mark.parametrize(
    "name", ["app/__init__.py", "app/__main__.py", "app/bootstrap.py", "tests/__main__.py"]
)
def test_an_old_python_can_read_what_tells_it_that_it_is_old(name: str) -> None:
    ast.parse((ROOT / name).read_text(), feature_version=(3, 6))


def test_the_stamp_holds_for_its_locks_and_folder_only(project: Path) -> None:
    assert bootstrap.is_ready(for_tests=False)
    assert not bootstrap.is_ready(for_tests=True)
    stamp(for_tests=True)
    (project / "tests" / "requirements.lock").write_text("b==2\n")
    assert bootstrap.is_ready(for_tests=False)
    assert not bootstrap.is_ready(for_tests=True)
    (project / "requirements.lock").write_text("a==2\n")
    assert not bootstrap.is_ready(for_tests=False)


@pytest.mark.skipif(os.name == "nt", reason="a subprocess there")
def test_closed_streams_do_not_keep_it_from_the_environment(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run: list[str] = []
    monkeypatch.setattr("os.execv", lambda _python, command: run.extend(command))
    for name in ("stdout", "stderr"):
        monkeypatch.setattr(sys, name, None)
    monkeypatch.setattr(sys, "argv", ["app", "doctor"])
    bootstrap.ensure("app")
    assert run == [bootstrap.venv_python(), str(project / "app"), "doctor"]


def test_a_copied_folder_is_not_ready(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bootstrap, "ROOT", str(project) + "/.")
    assert not bootstrap.is_ready(for_tests=False)


def test_a_vanished_python_is_not_ready(project: Path) -> None:
    Path(bootstrap.venv_python()).unlink()
    assert not bootstrap.is_ready(for_tests=False)


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"half\n"])
def test_a_broken_stamp_is_not_ready(project: Path, content: bytes) -> None:
    Path(bootstrap.stamp_path(for_tests=False)).write_bytes(content)
    assert not bootstrap.is_ready(for_tests=False)


def test_an_interrupted_set_up_is_done_afresh(
    project: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(*arguments: str) -> None:
        raise KeyboardInterrupt

    (project / "requirements.lock").write_text("a==2\n")
    leftover = project / ".venv" / "lib" / "half-installed"
    leftover.mkdir(parents=True)
    monkeypatch.setattr(installing, "_NEEDED_MB", {False: 0, True: 0})
    monkeypatch.setattr(installing, "_pip", interrupted)
    with pytest.raises(SystemExit, match="130"):
        installing.set_up(for_tests=False)
    assert not bootstrap.is_ready(for_tests=False)
    assert leftover.exists()

    monkeypatch.setattr(installing, "_pip", lambda *arguments: None)
    monkeypatch.setattr(qt_libraries, "install_missing", lambda *a, **k: None)
    installing.set_up(for_tests=False)
    assert not leftover.exists()
    assert bootstrap.is_ready(for_tests=False)
    assert "interrupted" in capsys.readouterr().err


@pytest.mark.parametrize("target", ["gone", "other", "tests"])
def test_a_link_in_the_environments_place_is_told_and_never_followed(
    project: Path, monkeypatch: pytest.MonkeyPatch, target: str
) -> None:
    """One that leads nowhere, to itself, or to a folder with something of somebody else's."""
    (project / "other").symlink_to(project / target)
    monkeypatch.setattr(bootstrap, "VENV", str(project / "other"))
    with pytest.raises(SystemExit, match=r"set up: \S*other is a link, [^.]+; remove it [\w ]+\.$"):
        installing.set_up(for_tests=False)
    assert [path.name for path in (project / "tests").iterdir()] == ["requirements.lock"]


def test_a_file_in_the_environments_place_is_told_in_one_sentence(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (project / "other").write_text("kept")
    monkeypatch.setattr(bootstrap, "VENV", str(project / "other"))
    with pytest.raises(SystemExit, match=r"set up: \S*other is a file, [^.]+; remove it [\w ]+\.$"):
        installing.set_up(for_tests=False)
    assert (project / "other").read_text() == "kept"


def test_too_little_space_is_told_in_one_sentence(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(installing, "_NEEDED_MB", {False: 10**12, True: 10**12})
    with pytest.raises(SystemExit) as left:
        installing.set_up(for_tests=True)
    assert re.fullmatch(r"Simmerdown could not be set up: .*free disk space.*\.", str(left.value))


@pytest.mark.parametrize(
    ("output", "expected"),
    [
        ("OSError: [Errno 28] No space left on device", "disk space"),
        ("WARNING: Retrying after NewConnectionError: ...\nERROR: No matching d", "internet"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES", "not the one"),
        ("ERROR: No matching distribution found for numpy==2", "not to be had"),
        ("something else", "pip reports a fault"),
    ],
)
def test_what_pip_says_becomes_one_sentence(output: str, expected: str) -> None:
    assert expected in installing._meaning(output)


def test_pip_without_a_network_is_told_in_one_sentence(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Port 9 (discard) of this machine refuses: pip meets a real connection that fails."""
    lock = project / "requirements.lock"
    lock.write_text("surely-not-there==1 --hash=sha256:" + "0" * 64 + "\n")
    monkeypatch.setenv("PIP_CONFIG_FILE", os.devnull)
    monkeypatch.delenv("PIP_FIND_LINKS", raising=False)
    monkeypatch.setattr(installing, "_pip_command", lambda: [sys.executable, "-m", "pip"])
    arguments = [
        "download",
        "--index-url",
        "http://127.0.0.1:9/",
        "--retries",
        "0",
        "-r",
        str(lock),
    ]
    with pytest.raises(installing.SetupError, match="internet"):
        installing._pip(*arguments)


def test_starts_at_the_same_moment_wait_for_each_other(
    project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    order: list[str] = []
    inside = threading.Event()
    waiting = threading.Event()

    def second() -> None:
        inside.wait()
        waiting.set()
        with installing._alone():
            order.append("second")

    other = threading.Thread(target=second)
    other.start()
    with installing._alone():
        inside.set()
        waiting.wait()
        order.append("first")
    other.join()
    assert order == ["first", "second"]


def test_the_locks_name_no_host_and_pin_every_hash() -> None:
    for lock in (ROOT / "requirements.lock", ROOT / "tests" / "requirements.lock"):
        text = lock.read_text()
        assert "://" not in text
        assert not re.search(r"^\s*--(?!hash=)", text, re.MULTILINE)
        entries = re.split(r"\n(?=\S)", text.strip())
        assert all("==" in entry and "--hash=sha256:" in entry for entry in entries)


def test_the_command_shown_installs_what_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(qt_libraries, "_loads", lambda name: name != "libEGL.so.1")
    monkeypatch.setattr(sys, "platform", "linux")
    missing = qt_libraries.missing_packages()
    assert missing == ["libegl1"]
    assert qt_libraries.install_command(missing).endswith("install --no-install-recommends libegl1")


def test_without_root_the_exact_command_is_told(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    told: list[str] = []
    monkeypatch.setattr(qt_libraries, "missing_packages", lambda *, for_tests: ["libegl1"])
    monkeypatch.setattr(qt_libraries, "_as_root", lambda: None)
    monkeypatch.setattr("shutil.which", lambda name: "/usr/bin/" + name)
    qt_libraries.install_missing(told.append, str(tmp_path / "log"), for_tests=False)
    assert told[-1] == "  sudo apt-get install --no-install-recommends libegl1"


def test_a_folder_run_as_a_program_finds_the_packages_not_its_own_modules() -> None:
    """``python3 app`` puts ``app/`` in front; ``app/cli.py`` must not be found as ``cli``."""
    program = (
        "import runpy, sys\n"
        "from app import bootstrap\n"
        "bootstrap.ensure = lambda *a, **k: sys.exit(sys.path[0])\n"
        f"sys.path.insert(0, {str(ROOT / 'app')!r})\n"
        "runpy.run_path('app', run_name='__main__')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.stderr.strip() == str(ROOT)
