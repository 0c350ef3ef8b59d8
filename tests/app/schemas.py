"""The JSON that other programs rely on, as schemas (JSON Schema, draft 2020-12)."""

from typing import Any

NUMBER = {"type": "number"}
MAYBE = {"type": ["number", "null"]}


def record(properties: dict[str, Any]) -> dict[str, Any]:
    """An object with exactly these keys."""
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def listed(item: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": item}


WHY = record({"code": {"type": "string", "minLength": 1}, "text": {"type": "string"}})
RANGE = {"oneOf": [{"type": "null"}, record({"low": NUMBER, "best": NUMBER, "high": NUMBER})]}
LIMITS = listed(
    record(
        {
            "name": {"type": "string"},
            "limit": NUMBER,
            "value": NUMBER,
            "pass": {"type": "boolean"},
            "source": {"type": "string", "minLength": 1},
        }
    )
)
STAGES = {"enum": ["pulling-down", "boiling-off", "easing", "flat", "holding", "done"]}

PROGRESS = record(
    {
        "at_s": NUMBER,
        "stage": STAGES,
        "lull_s": MAYBE,
        "smallest_burst_pa": MAYBE,
        "flat_at_s": MAYBE,
        "flat_low_s": MAYBE,
        "flat_high_s": MAYBE,
        "why": {"oneOf": [{"type": "null"}, WHY]},
    }
)
# All three numbers and no why, or no number and a why.
PROGRESS["oneOf"] = [
    {
        "properties": {
            "flat_at_s": NUMBER,
            "flat_low_s": NUMBER,
            "flat_high_s": NUMBER,
            "why": {"type": "null"},
        }
    },
    {
        "properties": {
            "flat_at_s": {"type": "null"},
            "flat_low_s": {"type": "null"},
            "flat_high_s": {"type": "null"},
            "why": {"type": "object"},
        }
    },
]

ANALYSE = record(
    {
        "version": {"const": 1},
        "samples": {"type": "integer", "minimum": 1},
        "duration_s": {"type": "number", "minimum": 0},
        "gaps": listed(record({"from_s": NUMBER, "to_s": NUMBER})),
        "bursts": listed(
            record(
                {
                    "onset_s": NUMBER,
                    "peak_s": NUMBER,
                    "rise_pa": NUMBER,
                    "fall_s": NUMBER,
                    "area_pa_s": NUMBER,
                    "seen_s": NUMBER,
                }
            )
        ),
        "progress": listed(PROGRESS),
        "cautions": listed(
            record(
                {
                    "kind": {
                        "enum": [
                            "ice",
                            "not-pulling-down",
                            "gauge-shut-off",
                            "no-signal",
                            "sudden-rise",
                            "rising",
                            "no-bursts-seen",
                            "cold",
                        ]
                    },
                    "from_s": NUMBER,
                    "until_s": MAYBE,
                    "text": {"type": "string", "minLength": 1},
                }
            )
        ),
        "flat_reached_s": MAYBE,
        "isolations": listed(
            record(
                {
                    "from_s": NUMBER,
                    "until_s": MAYBE,
                    "rise_pa": NUMBER,
                    "rate_pa_s": RANGE,
                    "comparison": {"oneOf": [{"type": "null"}, WHY]},
                }
            )
        ),
        "pulls": listed(
            record(
                {
                    "number": {"type": "integer", "minimum": 1},
                    "from_s": NUMBER,
                    "until_s": MAYBE,
                    "lowest_pa": MAYBE,
                    "bursts": {"type": "integer", "minimum": 0},
                    "bursts_per_s": MAYBE,
                    "smallest_burst_pa": MAYBE,
                }
            )
        ),
        "blank_off": {
            "oneOf": [
                {"type": "null"},
                record(
                    {
                        "from_s": NUMBER,
                        "until_s": MAYBE,
                        "ultimate_pa": NUMBER,
                        "end_pa": NUMBER,
                        "rise_pa": NUMBER,
                        "rate_pa_s": RANGE,
                        "load_pa_m3_s": RANGE,
                        "is_long_enough": {"type": "boolean"},
                        "limits": LIMITS,
                        "reasons": listed(WHY),
                    }
                ),
            ]
        },
        "pressure_test": {
            "oneOf": [
                {"type": "null"},
                record(
                    {
                        "finding": {"enum": ["no-fall-seen", "fell", "rose", "cooling"]},
                        "duration_s": NUMBER,
                        "start_pa": NUMBER,
                        "start_c": NUMBER,
                        "middle_pa": {"type": ["number", "null"]},
                        "end_pa": NUMBER,
                        "end_c": NUMBER,
                        "expected_pa": NUMBER,
                        "fall_pa": RANGE,
                        "smallest_fall_seen_pa": NUMBER,
                        "reasons": listed(WHY),
                    }
                ),
            ]
        },
    }
)
_BY_LAW = {
    "oneOf": [{"type": "null"}, record({"molecular": RANGE, "choked": RANGE, "laminar": RANGE})]
}

HOLD = record(
    {
        "version": {"const": 1},
        "finding": {"enum": ["held", "leak", "vapour", "both", "unclear"]},
        "duration_s": NUMBER,
        "rise_pa": NUMBER,
        "hold_longer_s": MAYBE,
        "leak_pa_s": RANGE,
        "leak_pa_m3_s": RANGE,
        "vapour_pa": RANGE,
        "smallest_leak_seen_pa_s": MAYBE,
        "smallest_leak_seen_pa_m3_s": MAYBE,
        "limits": LIMITS,
        "reasons": listed(WHY),
        "least_hold": record(
            {
                "circuit": {"enum": ["clean", "normal", "long", "disputed"]},
                "length_s": NUMBER,
                "source": {"type": "string", "minLength": 1},
                "may_end": {"type": "boolean"},
                "left_s": MAYBE,
                "why": WHY,
            }
        ),
        "refrigerant_loss": {
            "oneOf": [
                {"type": "null"},
                record(
                    {
                        "refrigerant": {"type": "string"},
                        "assumption": {"type": "string", "minLength": 1},
                        "leak_g_per_yr": _BY_LAW,
                        "smallest_leak_seen_g_per_yr": _BY_LAW,
                    }
                ),
            ]
        },
    }
)

WATCH_READING = record(
    {
        "time_s": NUMBER,
        "pressure_pa": {"type": "number", "minimum": 0},
        "temperature_c": MAYBE,
        "status": {"enum": ["ok", "over-range", "under-range"]},
        "stage": STAGES,
    }
)
WATCH_LINK = {
    "oneOf": [
        record({"time_s": NUMBER, "link": {"const": "connected"}}),
        record({"time_s": NUMBER, "link": {"const": "lost"}, "why": {"type": "string"}}),
    ]
}
