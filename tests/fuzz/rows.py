"""Rows of a job: sound ones, and payloads that only a stranger would write."""

import json
import struct
from typing import Any

from analysis.nitrogen.pressure_test import PressureTest
from analysis.sample import Mark
from analysis.snapshot import BlankOff
from app.jobfile.readings import encode_readings
from app.jobfile.rows import (
    ALL_READINGS,
    NOTES,
    PUMP_READINGS,
    READINGS,
    CautionChange,
    Edit,
    FindingNote,
    FormatChange,
    Gap,
    HoldChange,
    LinkChange,
    PumpLinkChange,
    PumpRejections,
    Rejections,
    Resumed,
    StageChange,
    encode_note,
)
from sensors.events import Reading

KINDS = [*NOTES, *sorted(ALL_READINGS), "\x1b[2J", "other", ""]
_HTML = "<img src='file:///etc/hostname'><script>x()</script>\x1b[2J\u202e"
_JOINT = {"name": _HTML, "evidence": "../../" * 40, "state": "leaks"}


def _pressed(first: float, times: int = 30) -> bytes:
    return encode_readings(Reading(first + at, 90.0 + at % 7, 20.0) for at in range(times))


SOUND: list[tuple[str, bytes]] = [
    (READINGS, _pressed(0.0)),
    (READINGS, _pressed(40.0)),
    (READINGS, _pressed(9e6, 3)),
    (PUMP_READINGS, _pressed(20.0)),
    (PUMP_READINGS, _pressed(-1e12, 2)),
    (READINGS, _pressed(1e12, 2)),
    (READINGS, encode_readings([Reading(1e300, 5.0), Reading(1.1e300, 1e308)])),
    (READINGS, encode_readings([Reading(-1e300, 5.0), Reading(0.0, 0.0)])),
    (READINGS, encode_readings([Reading(50.0, 1e308, -273.0, "over-range")] * 9)),
    (READINGS, encode_readings([Reading(60.0, 5e-324), Reading(60.0, 1e308), Reading(61.0, 0.0)])),
    *(
        encode_note(note)
        for note in (
            Mark(75.0, "valve-closed"),
            Mark(-5.0, "blank-off"),
            Mark(1e12, "note", _HTML),
            Mark(80.0, "hold-over", "x" * 5000),
            LinkChange(1.0, "connected", _HTML),
            LinkChange(2.0, "lost", "unplugged"),
            Rejections(3.0, 4.0, 10**30, ({"time_s": "x", "raw_hex": 5},)),
            Gap(5.0, -5.0, _HTML),
            PumpLinkChange(8.0, "lost", _HTML),
            PumpRejections(3.0, 4.0, 5),
            FormatChange(2, _HTML),
            FormatChange(99, "x"),
            Resumed(1e12, -1e12, True),
            Edit("title", _HTML),
            Edit("vehicle", "\n".join("line" for _ in range(99))),
            Edit("joints", [_JOINT] * 40 + [7, None, {"name": 5}]),
            Edit("volume_m3", 1e308),
            Edit("parts_done", ["rig", 5, None]),
            Edit("gauge", "replay:" + "x" * 500),
            Edit("blank_off", dict.fromkeys(BlankOff.__dataclass_fields__)),
            Edit("pressure_test", dict.fromkeys(PressureTest.__dataclass_fields__, 1e308)),
            HoldChange(76.0, "begun"),
            FindingNote(81.0, "leak", {"limits": [{"name": 5}], "reasons": "x", "rise_pa": 1e308}),
            CautionChange(6.0, "ice", True, "no-such-code", {"pressure_pa": "x"}),
            StageChange(7.0, "flat", "no-such-code", {"flat_interval_s": 1e300}),
        )
    ),
]


def _forged() -> list[bytes]:
    payloads = [payload for _, payload in SOUND]
    huge = 10**400
    values: list[Any] = [
        huge, -huge, 1e308, -1, 0, True, None, "", _HTML, [], {}, [[]], {"a": huge}, "x" * 3000,
        [huge] * 3, [{"name": "a", "state": huge}],
    ]  # fmt: skip
    for kind, payload in SOUND:
        if kind in ALL_READINGS:
            continue
        note = json.loads(payload)
        for key in note:
            payloads += [_text({**note, key: value}) for value in values]
            payloads.append(_text({k: v for k, v in note.items() if k != key}))
    for key in ("volume_m3", "days_open", "oil_ml", "joints", "blank_off", "pressure_test"):
        payloads += [_text({"key": key, "value": value}) for value in values]
    for form in (BlankOff, PressureTest):
        names = form.__dataclass_fields__
        key = "blank_off" if form is BlankOff else "pressure_test"
        for value in values:
            payloads.append(_text({"key": key, "value": dict.fromkeys(names, value)}))
    deep = b"[" * 100_000
    nested = b'{"key":"joints","value":' + b"[" * 900 + b"]" * 900 + b"}"
    return [
        *payloads,
        b"", b"{}", b"null", b'{"a":1,"a":2}', b'{"time_s":NaN}', b"\xff", deep, b'{"a":' * 50_000,
        nested, b'{"key":"title","value":"\\ud800"}', b'{"key":"vehicle","value":"\\u0000\\u001b"}',
        b'{"key":"volume_m3","value":' + b"9" * 5000 + b"}", b'{"key":"oil_ml","value":1e999}',
        b'{"job_id":"x","program":"y","utc_start":"0001-01-01T00:00:00.000Z"}',
        b'{"job_id":"x","program":"y","utc_start":"9999-12-31T23:59:59.999Z"}',
        struct.pack("<4d", float("inf"), 1.0, 1.0, 0.0), struct.pack("<4d", 1.0, -1.0, 1.0, 0.0),
        struct.pack("<4d", 1.0, 1.0, float("nan"), 7.0), b"\0" * 32 * 20_000, b"x" * 31,
    ]  # fmt: skip


def _text(value: object) -> bytes:
    """Write what the program itself would refuse to write."""
    return json.dumps(value).encode()


FORGED = _forged()
