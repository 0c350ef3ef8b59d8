"""``simmerdown`` alone opens the window; where there is no screen that is said in one line."""

import subprocess
import sys

import pytest

from app import cli
from app.live import demo
from app.output import demo_terminal
from app.system.screen import has_screen
from app.window import application, technician


@pytest.fixture
def no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(sys, "platform", "linux")


@pytest.mark.parametrize("arguments", [[], ["window"]])
def test_the_window_is_the_default(monkeypatch: pytest.MonkeyPatch, arguments: list[str]) -> None:
    monkeypatch.setattr(application, "run_window", lambda: 0)
    assert cli.main(arguments) == 0


@pytest.mark.usefixtures("no_screen")
def test_without_a_screen_the_window_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    assert not has_screen()
    assert cli.main(["window"]) == cli.WRONG_USE
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.usefixtures("no_screen")
def test_without_a_screen_the_demo_plays_in_the_terminal(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    speeds: list[float] = []
    monkeypatch.setattr(demo_terminal, "play", speeds.append)
    assert cli.main(["demo"]) == 0
    assert speeds == [demo.SPEED]
    assert "no screen here" in capsys.readouterr().err


@pytest.mark.parametrize(("extra", "where"), [([], "window"), (["--terminal"], "terminal")])
def test_with_a_screen_the_demo_plays_where_it_is_wanted(
    monkeypatch: pytest.MonkeyPatch, extra: list[str], where: str
) -> None:
    played: list[str] = []
    monkeypatch.setattr(technician, "play", lambda _speed: played.append("window") or 0)  # type: ignore[func-returns-value]
    monkeypatch.setattr(demo_terminal, "play", lambda _speed: played.append("terminal"))
    assert cli.main(["demo", *extra]) == 0
    assert played == [where]


def test_the_frame_needs_neither_numpy_nor_pyqtgraph() -> None:
    program = (
        "import sys, app.cli, app.commands.window, app.window.application as a\n"
        "print([m for m in ('numpy', 'pyqtgraph', 'serial', 'bleak', 'sqlite3', 'asyncio')"
        " if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
