"""What ``watch --json`` prints: one object for each reading and each change of the link.

Those of a second gauge have ``"at": "pump"`` beside the same fields; ``stage`` is the run's, which
the far gauge alone decides.
"""

from typing import Any

from app.gauge.link import AtPump, Failed
from app.live.run import Step
from sensors.events import Connected, Lost, Reading


def as_json(step: Step) -> dict[str, Any] | None:
    """Give the object for a step, or ``None`` where the step has none."""
    event = step.event
    if isinstance(event, AtPump):
        told = as_json(Step(event.event, step.snapshot))
        return None if told is None else {**told, "at": "pump"}
    if isinstance(event, Reading):
        return {
            "time_s": event.time_s,
            "pressure_pa": event.pressure_pa,
            "temperature_c": event.temperature_c,
            "status": event.status,
            # Without a snapshot the analysis failed at the first reading; the run goes on.
            "stage": "pulling-down" if step.snapshot is None else step.snapshot.stage,
        }
    if isinstance(event, Connected):
        return {"time_s": event.time_s, "link": "connected"}
    if isinstance(event, Lost | Failed):
        return {"time_s": event.time_s, "link": "lost", "why": event.why}
    return None
