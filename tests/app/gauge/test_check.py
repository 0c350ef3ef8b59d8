"""A gauge checked at known pressures: through address, curve and profile to right readings."""

import sys
from collections.abc import Iterable
from datetime import date
from pathlib import Path

import pytest

from app.gauge.check import FEWEST, GaugeCheck
from app.gauge.link import Failed
from app.gauge.profiles import Profile, load_profile, save_profile
from app.job.rules import JobRules
from app.jobfile.reader import JobReader
from app.jobfile.rows import Edit, LinkChange
from app.live.opening import run_on, sensor_at
from app.system.errors import UsageError
from sensors.address import parse_address
from sensors.calibration import Curve, Point
from sensors.correction import Correction, correction_of
from sensors.events import Connected, Lost, Reading, Rejected, Status
from tests.sensors.gauge_process import gauge_process

DAY = date(2030, 1, 31)
HEAD = Curve("log-linear", (Point(2.0, 1.0), Point(3.0, 10.0)), low=1.0, high=8.0)


def read(
    check: GaugeCheck, pressures_pa: Iterable[float], from_s: float = 0.0, status: Status = "ok"
) -> None:
    for number, pressure_pa in enumerate(pressures_pa):
        check.hear(Reading(from_s + 0.1 * number, pressure_pa, None, status))


def test_the_mean_of_the_last_seconds() -> None:
    check = GaugeCheck("tcp:bench:1?unit=pa")
    assert check.live().mean_pa is None
    read(check, [900.0] * 100)
    read(check, [49.0, 51.0] * 30, from_s=10.0)
    live = check.live()
    assert live.mean_pa == pytest.approx(50.0, abs=0.1)
    assert (live.count, live.is_moving) == (51, False)
    assert live.scatter_pa == pytest.approx(1.0, abs=0.02)


def test_a_slow_gauge_gives_its_last_three_and_a_falling_one_moves() -> None:
    check = GaugeCheck("tcp:bench:1?unit=pa")
    for number, pressure_pa in enumerate((100.0, 60.0, 50.0, 40.0)):
        check.hear(Reading(20.0 * number, pressure_pa))
    assert (check.live().mean_pa, check.live().count) == (50.0, FEWEST)
    assert check.live().is_moving


def test_what_cannot_be_taken_says_why() -> None:
    check = GaugeCheck("tcp:bench:1?unit=pa")
    with pytest.raises(UsageError, match="Too few readings"):
        check.take("zero", 0.0)
    read(check, [0.0] * 10, status="under-range")
    with pytest.raises(UsageError, match="out of its range"):
        check.take("zero", 0.0)
    check.hear(Lost(0.0, "The cable fell off."))
    assert check.live().trouble == "The cable fell off."
    with pytest.raises(UsageError, match="cable fell off"):
        check.take("zero", 0.0)
    check.hear(Failed(0.0, "The port is taken."))
    assert check.live().trouble == "The port is taken."
    check.hear(Connected(1.0))
    read(check, [1.0] * 5)
    assert check.live().trouble == ""
    with pytest.raises(UsageError, match="Nothing was taken"):
        check.result(DAY)


def test_a_reading_that_has_grown_old_is_not_taken() -> None:
    """A pulled cable shows only after the silence limit: until then the last reading stood."""
    quick, slow = GaugeCheck("tcp:bench:1?unit=pa"), GaugeCheck("tcp:bench:2?unit=pa")
    read(quick, [3.0] * 10)
    for number in range(4):
        slow.hear(Reading(20.0 * number, 3.0))
    for check, fresh_s, old_s in ((quick, 5.5, 6.5), (slow, 115.0, 125.0)):
        check.tell_time(fresh_s)
        assert check.live().mean_pa == 3.0
        check.tell_time(old_s)
        with pytest.raises(UsageError, match=r"^Nothing has come for \d+ s\.$"):
            check.take("zero", 1.0)


def test_what_is_no_reading_is_told_and_an_old_reading_is_not_taken() -> None:
    check = GaugeCheck("tcp:bench:1?unit=pa")
    check.hear(Rejected(0.0, b"\xf8\x80", "the line is no plain text"))
    assert check.live().trouble == "What it sends is no reading: the line is no plain text."
    read(check, [3.0] * 10, from_s=1.0)
    assert check.live().trouble == ""
    check.hear(Rejected(2.5, b"ERR", "'ERR' is no number"))  # one bad line between good ones
    assert check.live().mean_pa == 3.0
    check.hear(Rejected(9.0, b"ERR", "'ERR' is no number"))
    with pytest.raises(UsageError, match="'ERR' is no number"):
        check.take("zero", 1.0)


def test_zero_and_span_come_into_the_address_instead_of_the_old_ones() -> None:
    check = GaugeCheck("tcp:bench:1?unit=pa&zero_pa=9&gain=1.5&checked=2029-01-01")
    assert check.sensor.name == "tcp:bench:1?unit=pa"  # as it reads without the old check
    read(check, [3.6] * 10)
    assert check.take("zero", 2.0).error_pa == pytest.approx(1.6)
    read(check, [802.0] * 60, from_s=10.0)
    assert check.take("span", 1000.0).error_share == pytest.approx(-0.198)
    address, curves = check.result(DAY)
    found = correction_of(parse_address(address).options)
    assert found == Correction(2.0, 1.25, DAY)
    assert curves == {}
    check.forget("zero")
    assert "zero_pa=0&gain=1.24688" in check.result(DAY)[0]


def test_it_is_kept_in_its_profile_or_under_a_new_name() -> None:
    plain = GaugeCheck("tcp:bench:1?unit=pa")
    read(plain, [3.0] * 10)
    plain.take("zero", 1.0)
    assert plain.keep("", DAY) == "tcp:bench:1?unit=pa&zero_pa=2&gain=1&checked=2030-01-31"
    save_profile(Profile("cart", "tcp:bench:2?unit=mbar", "the blue one"))
    with pytest.raises(UsageError, match="There is a profile 'cart' already"):
        plain.keep("cart", DAY)
    assert load_profile("cart").note == "the blue one"
    assert plain.keep("bench", DAY) == "profile:bench"
    again = GaugeCheck("profile:bench")
    read(again, [4.0] * 10)
    again.take("zero", 1.0)
    assert again.keep("bench", date(2030, 2, 1)) == "profile:bench"
    assert load_profile("bench").address.endswith("?unit=pa&zero_pa=3&gain=1&checked=2030-02-01")
    assert sensor_at("profile:bench").name == load_profile("bench").address


def test_an_analogue_gauges_curve_is_moved_along_its_signal() -> None:
    save_profile(Profile("cart", "tcp:bench:1?curve=head", "the blue one", {"head": HEAD}))
    check = GaugeCheck("profile:cart")

    def drifted_pa(true_pa: float) -> float:
        """What a head with 2 % gain and 0.1 V offset in its electronics shows."""
        return HEAD.read(1.02 * HEAD.signal_at(true_pa) + 0.1)[0]

    read(check, [drifted_pa(2.0)] * 10)
    check.take("zero", 2.0)
    read(check, [drifted_pa(1000.0)] * 60, from_s=10.0)
    check.take("span", 1000.0)
    check.keep("cart", DAY)
    kept = load_profile("cart")
    assert (kept.note, kept.address) == ("the blue one", "tcp:bench:1?curve=head")
    mended = kept.curves["head"]
    assert mended.calibrated == DAY
    for true_pa in (2.0, 66.66, 1000.0):
        volts = 1.02 * HEAD.signal_at(true_pa) + 0.1
        assert mended.read(volts)[0] == pytest.approx(true_pa, rel=1e-6)


@pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo terminals")
def test_the_record_tells_which_gauge_it_was_and_what_was_applied(tmp_path: Path) -> None:
    port, path = tmp_path / "gauge", tmp_path / "van.simmerdown"
    told = "field=2&curve=head&zero_pa=2&gain=1.1&checked=2030-01-31"
    save_profile(Profile("cart", f"serial:{port}?{told}", "", {"head": HEAD}))
    run = run_on(path, JobRules())
    with gauge_process("tests.sensors.pty_feeder", port) as gauge:
        run.start(sensor_at("profile:cart"))
        events: list[object] = []
        while not any(isinstance(event, Reading) for event in events):
            gauge.write(b"1;4.0 V\r\n")
            events += [step.event for step in run.drain()]
    assert run.close()
    with JobReader(path) as reader:
        links = [note.detail for _, note in reader.notes("link") if isinstance(note, LinkChange)]
        edits = {n.key: n.value for _, n in reader.notes("edit") if isinstance(n, Edit)}
        # 4 V are 100 Pa by the curve: (100 - 2) x 1.1.
        assert set(reader.readings().pressure_pa) == {107.8}
    assert links[0] == (
        f"{port} at 9600 baud, through its log-linear curve (undated), "
        "put right by its check (2030-01-31): zero 2 Pa, gain 1.1, kept as 'cart'"
    )
    assert edits["gauge"] == f"serial:{port}?{told}"


def test_what_is_no_drift_is_refused_in_words() -> None:
    check = GaugeCheck("tcp:bench:1?unit=pa")
    read(check, [100.0] * 10)
    check.take("span", 1000.0)
    with pytest.raises(UsageError, match="cannot put it right: the gauge's span is 10 times"):
        check.keep("", DAY)
    at_air = GaugeCheck("tcp:bench:1?unit=pa")
    read(at_air, [101_325.0] * 10)
    at_air.take("zero", 0.0)
    with pytest.raises(UsageError, match="cannot put it right: the gauge's zero is"):
        at_air.found(DAY)


def test_only_what_is_there_can_be_checked() -> None:
    for address in ("profile:none", "tcp:nowhere", "tcp:a:1?curve=x", "sim:wet"):
        with pytest.raises(UsageError):
            GaugeCheck(address)
