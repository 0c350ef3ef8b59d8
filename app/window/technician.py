"""The demo in the window: an invented technician presses the buttons where one can see it."""

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QCoreApplication

from app.job.fields import JobFields, Joint
from app.live import demo
from app.screen.presenter import Presenter
from app.screen.shown import Screen
from app.settings.memory import Memory
from app.window.application import run_window
from sensors.sim.sensor import SimSensor

THINKS_S = 1.8  # real seconds between a prompt and the press: time to read it
CIRCUIT_M3 = 2.5e-3  # the simulated circuit's

FIELDS = JobFields(
    title=demo.TITLE,
    vehicle="DEMO van, invented",
    vehicle_kind="combustion",
    refrigerant="R-134a",
    volume_m3=CIRCUIT_M3,
    oil="PAG, 120 mL (invented)",
    pump_speed_m3_s=1.2e-3,
    hose_bore_m=0.0064,
    hose_length_m=0.9,
    cores="out",
    joints=(
        Joint("condenser, inlet", "new part", "renewed"),
        Joint("condenser, outlet", "new part", "renewed"),
        Joint("compressor, block fitting", "shares a block with a clean line", "suspect"),
    ),
    parts_done=("look-over", "rig", "pressure-test", "blank-off"),
)


class Technician:
    """Presses what the screen asks for, after a moment.

    Parameters
    ----------
    presenter
        Whose buttons are pressed.
    clock
        Real seconds.
    """

    def __init__(self, presenter: Presenter, clock: Callable[[], float] = time.monotonic) -> None:
        self._presenter, self._clock = presenter, clock
        self._prompt = ""
        self._since_s = 0.0

    def look(self) -> None:
        """Look at the screen; press when the time has come."""
        screen = self._presenter.screen
        if screen is None:
            return
        prompt = self._prompt_of(screen)
        if prompt != self._prompt:
            self._prompt, self._since_s = prompt, self._clock()
        elif prompt and self._clock() - self._since_s >= THINKS_S:
            self._prompt = ""
            self._press(prompt)

    def _prompt_of(self, screen: Screen) -> str:
        if screen.hold.page == "holding":
            snapshot = self._presenter.snapshot
            if snapshot is None or snapshot.hold is None:
                return ""
            is_long = snapshot.hold.duration_s >= demo.HOLD_S or screen.phase == "over"
            return "end" if is_long else ""
        if screen.hold.page in ("close-valve", "pump-off", "vent-pump"):
            return screen.hold.page
        if screen.is_prompting:
            return "banner" if screen.alarm is not None else "flat"
        return ""

    def _press(self, prompt: str) -> None:
        translate = QCoreApplication.translate
        if prompt == "banner":
            self._presenter.dismiss()
        elif prompt == "flat":
            self._say(translate("Demo", "sees it flat, and starts the standing test."))
            self._presenter.hold_now()
        else:
            said = {
                "close-valve": translate("Demo", "closes the isolating valve: time zero."),
                "pump-off": translate("Demo", "switches the pump off."),
                "vent-pump": translate("Demo", "vents the pump, and waits."),
                "end": translate("Demo", "ends the test: here is the finding."),
            }
            self._say(said[prompt])
            self._presenter.walk_on()

    def _say(self, what: str) -> None:
        who = QCoreApplication.translate("Demo", "DEMO: the invented technician {what}")
        self._presenter.tell(who.format(what=what))


def play(speed: float) -> int:
    """Open the window and play the demo in it."""
    with tempfile.TemporaryDirectory() as folder:

        def begin(presenter: Presenter) -> Callable[[], None]:
            # What the demo does is not remembered as the user's own last gauge and job.
            presenter.session.memory = Memory(Path(folder) / "window.json")
            presenter.session.fields = FIELDS
            presenter.use(SimSensor(demo.SCENARIO, speed=speed))
            return Technician(presenter).look

        return run_window(begin)
