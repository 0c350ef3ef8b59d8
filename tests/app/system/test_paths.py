"""Where things lie."""

import os
from pathlib import Path

import pytest

from app.cli import main
from app.system import paths


def test_one_folder_for_everything_where_one_is_chosen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SIMMERDOWN_HOME", str(tmp_path))
    places = [paths.jobs_folder(), paths.state_folder(), paths.log_file(), paths.settings_file()]
    assert all(place.is_relative_to(tmp_path) for place in places)
    assert len(set(places)) == 4


def test_the_systems_folders_otherwise(own_folders: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SIMMERDOWN_HOME")
    places = [paths.jobs_folder(), paths.log_file(), paths.settings_file()]
    assert all(place.is_relative_to(own_folders) for place in places)
    assert not any(place.exists() for place in places)


@pytest.mark.skipif(os.name == "nt", reason="homes are looked up otherwise")
@pytest.mark.parametrize("command", ["analyse a.csv", "watch sim:wet --for 1", "doctor"])
def test_a_user_without_a_home_is_told_what_to_set(
    command: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def unknown(_uid: int) -> None:
        raise KeyError("no such user")

    monkeypatch.setattr("pwd.getpwuid", unknown)
    monkeypatch.delenv("HOME")
    for name in ("SIMMERDOWN_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.delenv(name)
    assert main(command.split()) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "SIMMERDOWN_HOME" in told.err
    assert told.err.count("\n") == 1


def test_assets_beside_a_checkout_and_inside_an_installed_package(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(paths, "__file__", str(tmp_path / "app" / "system" / "paths.py"))
    beside = tmp_path / "assets" / "icons" / "burst.svg"
    beside.parent.mkdir(parents=True)
    beside.touch()
    assert paths.asset("icons/burst.svg") == beside
    inside = tmp_path / "app" / "assets" / "icons" / "burst.svg"
    inside.parent.mkdir(parents=True)
    inside.touch()
    assert paths.asset("icons/burst.svg") == inside
    with pytest.raises(FileNotFoundError, match=r"nothing\.svg"):
        paths.asset("nothing.svg")
