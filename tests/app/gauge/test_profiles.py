import os
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.cli import main
from app.gauge.profile_text import ProfileTextError, profile_text, read_profile_text
from app.gauge.profiles import (
    Profile,
    ProfileError,
    load_profile,
    profile_names,
    read_profile,
    remove_profile,
    replace_profile,
    save_profile,
    take_in,
)
from app.live.opening import sensor_at
from app.system.errors import UsageError
from app.system.paths import profiles_folder
from sensors.calibration import Curve, Point

HEAD = Curve(
    "log-linear",
    (Point(2.0, 1.0), Point(3.0, 10.0)),
    low=1.0,
    high=8.6,
    calibrated=date(2030, 1, 31),
    note='beside a "capacitance" gauge',
)
VOLTS = Profile("Pump cart", "serial:COM3?field=2&curve=head", "the blue one", {"head": HEAD})


def test_saved_is_loaded_and_opens_by_its_name() -> None:
    assert profile_names() == []
    path = save_profile(VOLTS)
    assert path.parent == profiles_folder()
    assert load_profile("Pump cart") == VOLTS
    save_profile(Profile("far side", "tcp:10.0.0.2:4001?unit=mbar"))
    assert profile_names() == ["far side", "Pump cart"]
    assert sensor_at("profile:far side").name == "tcp:10.0.0.2:4001?unit=mbar"
    assert sensor_at("profile:Pump cart").name == VOLTS.address
    remove_profile("far side")
    assert profile_names() == ["Pump cart"]


def test_another_name_and_a_strangers_file() -> None:
    path = save_profile(VOLTS)
    save_profile(Profile("far side", "tcp:10.0.0.2:4001"))
    renamed = replace(VOLTS, name="Cart 2", note="the red one")
    replace_profile("Pump cart", renamed)
    assert profile_names() == ["Cart 2", "far side"]
    assert load_profile("Cart 2") == renamed
    for taken in ("far side", "Far side"):  # on some disks one file
        with pytest.raises(ProfileError, match="There is a profile 'far side' already"):
            replace_profile("Cart 2", replace(renamed, name=taken))
    assert load_profile("far side").address == "tcp:10.0.0.2:4001"
    replace_profile("Cart 2", replace(renamed, name="cart 2"))
    assert profile_names() == ["cart 2", "far side"]
    sent = path.parent.parent / "sent" / "far side.toml"
    sent.parent.mkdir()
    sent.write_text('version = 1\naddress = "tcp:10.0.0.9:1"\n')
    with pytest.raises(ProfileError, match="'far side' already; expected another name"):
        take_in(sent)
    other = sent.rename(sent.with_name("near side.toml"))
    assert take_in(other) == load_profile("near side")
    other.write_text('version = 1\naddress = "replay:/etc/passwd"\n')
    remove_profile("near side")
    with pytest.raises(ProfileError, match="a gauge's address"):
        take_in(other)
    assert profile_names() == ["cart 2", "far side"]


def test_a_folder_that_may_not_be_looked_into_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def closed(_path: Path, **_: object) -> os.stat_result:
        raise PermissionError(13, "Permission denied")

    save_profile(VOLTS)
    monkeypatch.setattr(Path, "stat", closed)
    with pytest.raises(ProfileError, match=r"Pump cart.toml cannot be read: Permission denied"):
        load_profile("Pump cart")


def test_one_that_is_not_there_says_which_there_are() -> None:
    save_profile(VOLTS)
    with pytest.raises(UsageError, match=r"no profile 'other'; there is: Pump cart\."):
        sensor_at("profile:other")
    with pytest.raises(ProfileError, match=r"cannot be deleted: .*\.$"):
        remove_profile("other")


NAMES = ["", "../x", "a/b", "a\\b", ".hidden", "nul", "COM1", "con.x", "x" * 41, "a.", "a ", "a\n"]


@pytest.mark.parametrize("name", [*NAMES, "_x", "e\u0301"])
def test_names_that_are_no_safe_file_names(name: str) -> None:
    with pytest.raises(ProfileError, match="cannot be a profile's name"):
        Profile(name, "tcp:a:1")
    with pytest.raises(UsageError):
        sensor_at(f"profile:{name}")


@pytest.mark.parametrize(
    ("address", "expected"),
    [
        ("sim:wet", "a gauge's address"),
        ("replay:/etc/passwd", "a gauge's address"),
        ("profile:Pump cart", "Wrong sensor address"),
        ("serial:COM3?baud=x", "baud"),
        ("serial:COM3?curve=other", "does not have"),
        ("tcp:h:1?field=" + "x" * 500, "at most 500"),
    ],
)
def test_addresses_a_profile_cannot_have(address: str, expected: str) -> None:
    with pytest.raises(ProfileError, match=expected):
        Profile("x", address)


GOOD = 'version = 1\naddress = "tcp:a:1"\n'


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", "version"),
        ('version = true\naddress = "tcp:a:1"', "version"),
        ('version = 2\naddress = "tcp:a:1"', "version"),
        ("version = 1", "address"),
        (GOOD + "x = 1", "x: expected one of"),
        (GOOD + "note = 1", "note"),
        (GOOD + "curves = 1", "table"),
        (GOOD + "[curves]\na = 1", "table"),
        (GOOD + "[curves.a]\nkind = 'cubic'", "kind"),
        (GOOD + "[curves.a]\nkind = 'linear'", "points"),
        (GOOD + "[curves.a]\nkind = 'linear'\npoints = [1, 2]", "points"),
        (GOOD + "[curves.a]\nkind = 'linear'\npoints = [[0, 1], [1, true]]", "numbers"),
        (GOOD + "[curves.a]\nkind = 'linear'\npoints = [[0, 1], [1, nan]]", "points"),
        (GOOD + "[curves.a]\nkind = 'linear'\npoints = [[0, 1], [1, 1" + "0" * 400 + "]]", "big"),
        (GOOD + "[curves.a]\nkind = 'linear'\npoints = [[0,1],[1,2]]\nlow = 'x'", "numbers"),
        (GOOD + "[curves.a]\nkind = 'linear'\npoints = [[0,1],[1,2]]\nrun = 'rm'", "run"),
        (GOOD + "[curves.a]\nkind='linear'\npoints=[[0,1],[1,2]]\ncalibrated=7", "date"),
        (
            GOOD + "[curves.a]\nkind='linear'\npoints=[[0,1],[1,2]]\nnote='" + "x" * 201 + "'",
            "note",
        ),
        ("x = " + "[" * 20_000, "TOML"),
        ("\xff\xfe", "UTF-8"),
    ],
)
def test_strangers_texts_are_refused_in_one_sentence(
    text: str, expected: str, tmp_path: Path
) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(ProfileError, match=expected) as caught:
        read_profile(path)
    assert "\n" not in str(caught.value)
    assert "x.toml" in str(caught.value) or "'x'" in str(caught.value)


def test_what_is_no_file_or_too_large(tmp_path: Path) -> None:
    with pytest.raises(ProfileError, match="no file"):
        read_profile(tmp_path)
    path = tmp_path / "x.toml"
    path.write_bytes(GOOD.encode() + b"#" * 70_000)
    with pytest.raises(ProfileError, match="larger"):
        read_profile(path)
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.toml")
        with pytest.raises(ProfileError, match="no file"):
            read_profile(tmp_path / "pipe.toml")


def test_a_folder_that_cannot_be_written() -> None:
    profiles_folder().parent.mkdir(parents=True)
    profiles_folder().write_text("a file where the folder should be")
    with pytest.raises(ProfileError, match=r"cannot be written: .*\.$"):
        save_profile(VOLTS)


@given(st.binary(max_size=300))
def test_any_bytes_are_a_profile_or_refused(data: bytes) -> None:
    with pytest.raises(ProfileTextError):
        read_profile_text(data)


printable = st.text(max_size=40).filter(str.isprintable)
numbers = st.floats(-1e6, 1e6)


@given(printable, printable, st.lists(numbers, min_size=2, max_size=6, unique=True), st.dates())
def test_what_is_written_is_read_back(
    name: str, note: str, signals: list[float], day: date
) -> None:
    points = tuple(Point(x, 0.1 * 2.0**n) for n, x in enumerate(sorted(signals)))
    try:
        curve = Curve("table", points, low=-1e7, high=1e7, calibrated=day, note=note)
    except ValueError:
        return
    text = profile_text("tcp:a:1", note, {name: curve})
    assert read_profile_text(text.encode()) == ("tcp:a:1", note, {name: curve})


def test_watch_takes_an_address_or_a_profile(capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (["watch"], ["watch", "sim:wet", "--profile", "x"]):
        assert main(arguments) == 2
        assert "expected one ADDRESS" in capsys.readouterr().err
    assert main(["watch", "--profile", "none"]) == 2
    assert "no profile 'none'" in capsys.readouterr().err
