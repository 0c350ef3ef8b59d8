"""What ``hold`` tells, as the one JSON object other programs rely on."""

from typing import Any

from analysis.reason import Interval
from analysis.snapshot import HoldResult
from app.analysis_json import reason
from app.words import Words

VERSION = 1


def as_json(result: HoldResult, volume_m3: float | None) -> dict[str, Any]:
    """Give the object of ``hold --json`` (version 1).

    Without a volume the throughputs (Pa m3/s) are ``None``.
    """
    words = Words()
    smallest_pa_s = result.smallest_leak_seen_pa_s
    return {
        "version": VERSION,
        "finding": result.finding,
        "duration_s": result.duration_s,
        "rise_pa": result.rise_pa,
        "hold_longer_s": result.hold_longer_s,
        "leak_pa_s": _interval(result.leak_pa_s, 1.0),
        "leak_pa_m3_s": _interval(result.leak_pa_s, volume_m3),
        "vapour_pa": _interval(result.vapour_pa, 1.0),
        "smallest_leak_seen_pa_s": smallest_pa_s,
        "smallest_leak_seen_pa_m3_s": (
            None if smallest_pa_s is None or volume_m3 is None else smallest_pa_s * volume_m3
        ),
        "limits": [
            {
                "name": check.name,
                "limit": check.limit,
                "value": check.value,
                "pass": check.passed,
                "source": check.source,
            }
            for check in result.limits
        ],
        "reasons": [reason(why, words) for why in result.reasons],
    }


def _interval(interval: Interval | None, factor: float | None) -> dict[str, float] | None:
    if interval is None or factor is None:
        return None
    return {
        "low": interval.low * factor,
        "best": interval.best * factor,
        "high": interval.high * factor,
    }
