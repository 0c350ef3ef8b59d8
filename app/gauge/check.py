"""Checking a gauge at known pressures: what it reads, averaged live, and what puts it right.

No window and no link here: a dialog runs :attr:`GaugeCheck.sensor`, tells what it says to
:meth:`GaugeCheck.hear`, and takes a reading with :meth:`GaugeCheck.take`.
"""

from collections import deque
from dataclasses import dataclass, replace
from datetime import date
from statistics import fmean, pstdev
from typing import Literal

from app.gauge.link import Failed
from app.gauge.profiles import Profile, load_profile, save_new_profile, save_profile
from app.live.opening import PROFILE
from app.system.errors import UsageError
from sensors.address import parse_address, with_options
from sensors.calibration import Curve, Point
from sensors.catalogue import curve_of, open_sensor
from sensors.correction import Correction, correction_of
from sensors.events import Lost, Reading, Rejected, Sensor, SensorError
from sensors.zero_span import Check, adjusted, correction_from

AVERAGE_S = 5.0
FEWEST = 3
_OLD_PAUSES = 3.0  # after so many of a gauge's own pauses its last reading says nothing of now
_CHECK_OPTIONS = ("zero_pa", "gain", "checked")
Slot = Literal["zero", "span"]


@dataclass(frozen=True, slots=True)
class Live:
    """What the gauge reads: the mean of the last seconds, ``None`` while that is not known.

    ``is_moving``: the halves of these seconds differ by more than their scatter.
    """

    mean_pa: float | None = None
    scatter_pa: float = 0.0
    count: int = 0
    is_moving: bool = False
    trouble: str = ""


class GaugeCheck:
    """Checks a gauge as it reads without what an earlier check put right.

    Parameters
    ----------
    address
        Of the gauge, or ``profile:NAME``.

    Attributes
    ----------
    sensor
        Reads it, once it is run.
    profile
        Where it is kept, if it is.
    checks
        What was taken, by slot.

    Raises
    ------
    UsageError
        If there is no such gauge.
    """

    def __init__(self, address: str) -> None:
        self.profile: Profile | None = None
        if address.startswith(PROFILE):
            self.profile = load_profile(address.removeprefix(PROFILE))
            address = self.profile.address
        curves = self.profile.curves if self.profile else {}
        try:
            self._address = with_options(address, dict.fromkeys(_CHECK_OPTIONS))
            parsed = parse_address(self._address)
            if parsed.kind in ("sim", "replay"):
                raise UsageError("Only a gauge can be checked, no recording and no simulation.")
            self._curve = curve_of(parsed, curves)
            self.sensor: Sensor = open_sensor(self._address, curves=curves)
        except SensorError as error:
            raise UsageError(str(error)) from error
        self._readings: deque[Reading] = deque(maxlen=10_000)
        self._now_s = 0.0
        self._trouble = ""
        self._signals: dict[Slot, Point] = {}
        self.checks: dict[Slot, Check] = {}

    def tell_time(self, now_s: float) -> None:
        """Tell the time, in the seconds of the readings: without news they grow old."""
        self._now_s = now_s

    def hear(self, event: object) -> None:
        """Take in what the sensor's link says."""
        if isinstance(event, Lost | Failed):
            self._trouble = event.why
            self._readings.clear()
        elif isinstance(event, Rejected):
            self._trouble = f"What it sends is no reading: {event.why}."
            if self._readings and event.time_s - self._readings[-1].time_s > AVERAGE_S:
                self._readings.clear()  # it tells no pressure any more
        elif isinstance(event, Reading):
            self._trouble = ""
            self._readings.append(event)

    def take(self, slot: Slot, true_pa: float) -> Check:
        """Hold what it reads now against the true pressure.

        Raises
        ------
        UsageError
            If it reads nothing that could be held against it; the text says why.
        """
        live = self.live()
        if live.mean_pa is None:
            raise UsageError(live.trouble or "Too few readings yet; wait a few seconds.")
        if self._curve is not None:
            self._signals[slot] = Point(self._mean_signal(self._curve), true_pa)
        self.checks[slot] = Check.of(live.mean_pa, true_pa)
        return self.checks[slot]

    def forget(self, slot: Slot) -> None:
        """Take it back."""
        self.checks.pop(slot, None)
        self._signals.pop(slot, None)

    def result(self, on: date) -> tuple[str, dict[str, Curve]]:
        """Give the address and the curves that put the gauge right.

        Raises
        ------
        UsageError
            If nothing was taken, or it is no drift.
        """
        curves = dict(self.profile.curves) if self.profile else {}
        seen = [self._signals[slot] for slot in ("zero", "span") if slot in self._signals]
        try:
            if self._curve is not None and seen:
                name = parse_address(self._address).options["curve"]
                span = seen[1] if len(seen) > 1 else None
                curves[name] = adjusted(self._curve, seen[0], span, on=on)
                return self._address, curves
            if not self.checks:
                raise UsageError("Nothing was taken yet.")
            correction = correction_from(self.checks.get("zero"), self.checks.get("span"), on=on)
        except ValueError as error:
            raise UsageError(f"This cannot put it right: {error}.") from error
        told = (f"{correction.zero_pa:.6g}", f"{correction.gain:.6g}", on.isoformat())
        return with_options(self._address, dict(zip(_CHECK_OPTIONS, told, strict=True))), curves

    def found(self, on: date) -> Correction | Curve:
        """Give what puts the gauge right: its curve, moved, or zero and gain.

        Raises
        ------
        UsageError
            As :meth:`result`.
        """
        address, curves = self.result(on)
        parsed = parse_address(address)
        return curve_of(parsed, curves) or correction_of(parsed.options) or Correction()

    def keep(self, name: str, on: date) -> str:
        """Save it as the profile it was read from or, with a name, as a new one.

        Returns
        -------
        str
            The address that reads the gauge put right.

        Raises
        ------
        UsageError
            If it cannot be saved, another has the name, or there is nothing to save.
        """
        address, curves = self.result(on)
        if not name:
            return address
        old = self.profile or Profile(name, self._address)
        is_own = self.profile is not None and self.profile.name == name
        save = save_profile if is_own else save_new_profile
        save(replace(old, name=name, address=address, curves=curves))
        return f"{PROFILE}{name}"

    def live(self) -> Live:
        """Give what the gauge reads now."""
        recent = self._recent()
        if len(recent) < FEWEST:
            return Live(count=len(recent), trouble=self._trouble)
        pause_s = (recent[-1].time_s - recent[0].time_s) / (len(recent) - 1)
        silent_s = self._now_s - recent[-1].time_s
        if silent_s > max(AVERAGE_S, _OLD_PAUSES * pause_s):
            return Live(count=len(recent), trouble=f"Nothing has come for {silent_s:.0f} s.")
        if any(reading.status != "ok" for reading in recent):
            return Live(count=len(recent), trouble="The gauge is out of its range here.")
        values = [reading.pressure_pa for reading in recent]
        half = len(values) // 2
        early, late = values[:half], values[-half:]
        scatter_pa = max(pstdev(early), pstdev(late))
        is_moving = abs(fmean(late) - fmean(early)) > max(scatter_pa, 0.005 * fmean(values))
        return Live(fmean(values), pstdev(values), len(values), is_moving, self._trouble)

    def _recent(self) -> list[Reading]:
        if not self._readings:
            return []
        from_s = self._readings[-1].time_s - AVERAGE_S
        count = sum(reading.time_s >= from_s for reading in self._readings)
        return list(self._readings)[-max(count, FEWEST) :]

    def _mean_signal(self, curve: Curve) -> float:
        try:
            return fmean(curve.signal_at(reading.pressure_pa) for reading in self._recent())
        except ValueError:
            raise UsageError("The gauge is out of its curve's range here.") from None
