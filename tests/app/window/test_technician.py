"""The invented technician of the demo: presses what the screen asks for, one thing at a time."""

from analysis.reason import Reason
from app.window.technician import FIELDS, THINKS_S, Technician
from sensors.events import Reading
from tests.app.window.conftest import Desk
from tests.app.window.played import readings


def test_it_walks_from_flat_to_the_finding(desk: Desk) -> None:
    now = [0.0]
    technician = Technician(desk.presenter, clock=lambda: now[0])

    def think() -> None:
        for _ in range(2):
            desk.presenter.look()
            technician.look()
            now[0] += THINKS_S
        desk.presenter.look()
        technician.look()

    desk.run.play(readings("clean", 60.0))
    desk.presenter.look()
    desk.run.show_once(stage="flat", stage_reason=Reason("rate-below-one"))
    for _ in range(3):  # the banner, the prompt, the valve
        think()
    assert [str(kind) for kind in desk.run.marked] == ["valve-closed"]
    assert "closes the isolating valve" in desk.window.notice.text.text()
    think()
    think()
    assert [str(kind) for kind in desk.run.marked] == ["valve-closed", "pump-off", "note"]
    later = readings("hold-held", 200.0)
    desk.run.play([Reading(r.time_s + 61.0, r.pressure_pa) for r in later])
    think()
    assert "hold-over" not in desk.run.marked  # not before its time


def test_it_does_nothing_where_nothing_is_asked(desk: Desk) -> None:
    technician = Technician(desk.presenter, clock=lambda: 0.0)
    desk.run.play(readings("clean", 60.0))
    desk.presenter.look()
    technician.look()
    assert desk.run.marked == []


def test_all_it_fills_in_is_marked_as_invented() -> None:
    assert "invented" in FIELDS.title.lower()
    assert "invented" in FIELDS.vehicle
