"""How long an event is looked at before it is held for certain."""

from analysis.burst.explanation import Event


def waits_s(event: Event, slowest_s: tuple[float, float], spacing_s: float) -> tuple[float, float]:
    """From which age an event may be held for certain, and from which it is held anyway, s.

    ``slowest_s`` are the longest rise and fall constants of bursts: that a step or a bend does
    not fall again shows no sooner than that a burst does.
    """
    rise_s, fall_s = (event.rise_s, event.fall_s) if event.kind == "burst" else slowest_s
    ripe_s = 3.0 * rise_s + max(3.0 * spacing_s, min(0.25 * fall_s, 20.0))
    return ripe_s, ripe_s + max(10.0 * spacing_s, min(fall_s, 30.0))
