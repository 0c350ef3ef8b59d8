import grp
import os
import sys
from pathlib import Path

import pytest

from sensors.port_access import may_open, permission_advice

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="groups own ports on Linux")


def group_named(name: str, members: list[str]) -> grp.struct_group:
    return grp.struct_group((name, "x", 20, members))


@pytest.fixture
def device(tmp_path: Path) -> Path:
    path = tmp_path / "ttyUSB0"
    path.touch(0o660)
    path.chmod(0o660)
    return path


def owned_by(monkeypatch: pytest.MonkeyPatch, name: str, members: list[str]) -> None:
    """Pretend that files belong to this group: root alone could really give them away."""
    plain = Path.stat

    def stat(path: Path, **more: bool) -> os.stat_result:
        about = list(plain(path, **more))
        about[5] = 20
        return os.stat_result(about)

    monkeypatch.setattr(Path, "stat", stat)
    monkeypatch.setattr(grp, "getgrgid", lambda _: group_named(name, members))


def test_the_group_that_owns_the_port_is_named(
    device: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    owned_by(monkeypatch, "uucp", [])
    assert "usermod -aG uucp $USER" in permission_advice(str(device))


def test_a_member_has_to_log_in_again(device: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import pwd

    owned_by(monkeypatch, "dialout", [pwd.getpwuid(os.geteuid()).pw_name])
    assert "log out and in again" in permission_advice(str(device))
    assert "usermod" not in permission_advice(str(device))


def test_where_no_group_may(device: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    owned_by(monkeypatch, "dialout", [])
    device.chmod(0o600)
    assert "chmod" in permission_advice(str(device))


def test_a_port_that_is_gone_gets_the_usual_advice(tmp_path: Path) -> None:
    assert "dialout" in permission_advice(str(tmp_path / "none"))


def test_other_systems(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "darwin")
    assert "/dev/cu" in permission_advice("/dev/tty.x")
    monkeypatch.setattr(sys, "platform", "win32")
    assert may_open("COM3")
    assert "Close the program" in permission_advice("COM3")


def test_may_open(device: Path) -> None:
    assert may_open(str(device))
    assert not may_open(str(device) + "x")
