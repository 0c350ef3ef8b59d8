"""What a job's record says about the visit: the fields, their keys in the job file, their values.

Each field is kept as an ``Edit(key, value)`` row; the last one of a key holds. SI inside.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from analysis.hold.length import CircuitKind

VehicleKind = Literal["combustion", "hybrid", "electric"]
JointState = Literal["suspect", "renewed", "tight", "leaks"]
PARTS = (
    "look-over",
    "rig",
    "pressure-test",
    "blank-off",
    "evacuation",
    "standing-test",
    "locate",
    "charge",
    "hand-over",
)


OIL_KINDS = ("PAG", "POE", "PVE", "mineral")
# The least and the most that each number on the circuit's past can be.
PAST_RANGES: Mapping[str, tuple[float, float]] = {
    "days_open": (0.0, 3650.0),
    "temperature_c": (-40.0, 80.0),
    "humidity_pct": (0.0, 100.0),
    "oil_ml": (1.0, 5000.0),
}
Cores = Literal["in", "out"]
# The same of the rig, and of what was weighed in; SI.
RIG_RANGES: Mapping[str, tuple[float, float]] = {
    "pump_speed_m3_s": (5e-5, 0.05),  # 3 to 3000 L/min
    "hose_bore_m": (0.001, 0.1),
    "hose_length_m": (0.05, 30.0),
    "rig_volume_m3": (1e-6, 5e-3),  # of hoses, gauge and the pump's inlet
}
_NUMBERS = {
    **PAST_RANGES,
    **RIG_RANGES,
    "charge_kg": (0.001, 100.0),
    "volume_m3": (9e-6, 1.0),  # the form takes 0.01 to 1000 L
}
MOST_TEXT = 2000  # characters; a stranger's may be a megabyte, and every frame would lay it out
MOST_JOINTS = 200


@dataclass(frozen=True, slots=True)
class Joint:
    """One place where the circuit was or could have been opened."""

    name: str
    evidence: str = ""
    state: JointState = "suspect"


@dataclass(frozen=True, slots=True)
class JobFields:
    """The visit as the technician describes it; an empty text means not said."""

    title: str = ""
    vehicle: str = ""
    vehicle_kind: VehicleKind | Literal[""] = ""
    refrigerant: str = ""
    volume_m3: float | None = None
    oil: str = ""
    joints: tuple[Joint, ...] = ()
    parts_done: tuple[str, ...] = ()
    days_open: float | None = None  # that lines stood open
    temperature_c: float | None = None  # of the circuit at the start
    humidity_pct: float | None = None  # relative, of the air that the lines stood open to
    oil_kind: str = ""
    oil_ml: float | None = None
    renewed_drier: bool = False
    renewed_oil: bool = False
    circuit_kind: CircuitKind | Literal[""] = ""  # how long it is held at least
    charge_kg: float | None = None  # by weight
    pump_speed_m3_s: float | None = None  # from the pump's plate
    hose_bore_m: float | None = None
    hose_length_m: float | None = None
    rig_volume_m3: float | None = None
    cores: Cores | Literal[""] = ""  # in the service ports while it is pulled down

    @property
    def kind_or_normal(self) -> CircuitKind:
        """The kind of circuit; an ordinary one where nobody said."""
        return self.circuit_kind or "normal"

    def edits(self, before: "JobFields") -> list[tuple[str, object]]:
        """List what differs from ``before`` as (key, JSON value), one for each field."""
        mine, theirs = self.values(), before.values()
        return [(key, value) for key, value in mine.items() if value != theirs[key]]

    def values(self) -> dict[str, object]:
        """Give all fields as JSON values."""
        return {
            "title": self.title,
            "vehicle": self.vehicle,
            "vehicle_kind": self.vehicle_kind,
            "refrigerant": self.refrigerant,
            "volume_m3": self.volume_m3,
            "oil": self.oil,
            "joints": [
                {"name": joint.name, "evidence": joint.evidence, "state": joint.state}
                for joint in self.joints
            ],
            "parts_done": list(self.parts_done),
            **{name: getattr(self, name) for name in _NUMBERS},
            "circuit_kind": self.circuit_kind,
            "cores": self.cores,
            "oil_kind": self.oil_kind,
            "renewed_drier": self.renewed_drier,
            "renewed_oil": self.renewed_oil,
        }


def job_fields(values: Mapping[str, object]) -> JobFields:
    """Read the fields of a job back; what a stranger's file has in a wrong form counts as not said.

    Examples
    --------
    >>> job_fields({"vehicle": "grey van", "volume_m3": 0.003, "joints": 7}).volume_m3
    0.003
    """
    parts = values.get("parts_done")
    joints = values.get("joints")
    oil_kind = _text(values, "oil_kind")
    return JobFields(
        title=_text(values, "title"),
        vehicle=_text(values, "vehicle"),
        vehicle_kind=_one_of(values, "vehicle_kind", get_args(VehicleKind)),
        refrigerant=_text(values, "refrigerant"),
        oil=_text(values, "oil"),
        joints=tuple(
            _joint(item)
            for item in (joints[:MOST_JOINTS] if isinstance(joints, list) else [])
            if isinstance(item, Mapping)
        ),
        parts_done=tuple(
            part for part in PARTS if part in (parts if isinstance(parts, list) else [])
        ),
        **{name: _within(values, name) for name in _NUMBERS},
        circuit_kind=_one_of(values, "circuit_kind", get_args(CircuitKind)),
        cores=_one_of(values, "cores", get_args(Cores)),
        oil_kind=oil_kind if oil_kind in OIL_KINDS else "",
        renewed_drier=values.get("renewed_drier") is True,
        renewed_oil=values.get("renewed_oil") is True,
    )


def _within(values: Mapping[str, object], key: str) -> float | None:
    value, (low, high) = values.get(key), _NUMBERS[key]
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if low <= value <= high else None


def _one_of(values: Mapping[str, object], key: str, allowed: tuple[str, ...]) -> Any:
    text = _text(values, key)
    return text if text in allowed else ""


def _joint(item: Mapping[str, Any]) -> Joint:
    state = _text(item, "state")
    known: JointState = state if state in get_args(JointState) else "suspect"  # type: ignore
    return Joint(_text(item, "name"), _text(item, "evidence"), known)


def _text(values: Mapping[str, object], key: str) -> str:
    value = values.get(key)
    return value[:MOST_TEXT] if isinstance(value, str) else ""
