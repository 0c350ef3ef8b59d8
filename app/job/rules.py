"""The settings a job was analysed with, kept in the job: another analysis then sees the same.

They are kept as the job's field ``analysis`` (a row of kind ``edit``): the last one holds.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any, TypeVar

from analysis.flat.history import History
from analysis.hold.length import LEAST_HOLDS, CircuitKind, LeastHold
from analysis.rules import EvacuationRules
from app.job.fields import job_fields
from app.job.history import history_of
from app.jobfile.jsontext import plain
from app.jobfile.rows import Edit, FindingNote, Note

ANALYSIS = "analysis"
_Settings = TypeVar("_Settings", EvacuationRules, LeastHold)


@dataclass(frozen=True, slots=True)
class JobRules:
    """What the analysis was told.

    Attributes
    ----------
    rules
        The settings.
    history
        The circuit's past, as the forecast knew it.
    least_holds
        How long each kind of circuit is held at least.
    """

    rules: EvacuationRules = field(default_factory=EvacuationRules)
    history: History = field(default_factory=History)
    least_holds: Mapping[CircuitKind, LeastHold] = field(default_factory=lambda: LEAST_HOLDS)

    def note(self) -> Edit:
        """Give the row that keeps them."""
        history = _plain(self.history)
        history["oil_kind"] = history.pop("oil") or ""
        holds = {kind: _plain(least) for kind, least in self.least_holds.items()}
        told = {"rules": plain(self.rules), "history": history, "least_holds": holds}
        return Edit(ANALYSIS, told)


def kept_rules(values: Mapping[str, object]) -> JobRules | None:
    """Read them back from a job's fields; ``None`` where the job keeps none.

    What a stranger's file has in a wrong form counts as the default.
    """
    told = values.get(ANALYSIS)
    if not isinstance(told, Mapping):
        return None
    history, holds = told.get("history"), told.get("least_holds")
    past = job_fields(history if isinstance(history, Mapping) else {})
    least = holds if isinstance(holds, Mapping) else {}
    return JobRules(
        _filled(EvacuationRules(), told.get("rules")),
        history_of(past),
        {kind: _filled(known, least.get(kind)) for kind, known in LEAST_HOLDS.items()},
    )


def rules_at_finding(notes: Iterable[Note]) -> JobRules | None:
    """Give what a job keeps; of several those that its last finding was told with."""
    kept: JobRules | None = None
    at_finding: JobRules | None = None
    for note in notes:
        if isinstance(note, Edit) and note.key == ANALYSIS:
            kept = kept_rules({note.key: note.value})
        elif isinstance(note, FindingNote):
            at_finding = kept
    return at_finding or kept


def _plain(value: object) -> dict[str, Any]:
    made = plain(value)
    assert isinstance(made, dict)
    return made


def _filled(known: _Settings, told: object) -> _Settings:
    """Take every field of the known one's form; a whole that cannot be leaves all as it was."""
    if not isinstance(told, Mapping):
        return known
    try:
        return replace(known, **_fitting(known, told))
    except ValueError:
        return known


def _fitting(known: Any, told: Mapping[str, object]) -> dict[str, Any]:
    taken: dict[str, Any] = {}
    for part in fields(known):
        default, value = getattr(known, part.name), told.get(part.name)
        if is_dataclass(default):
            if isinstance(value, Mapping):
                taken[part.name] = replace(default, **_fitting(default, value))  # type: ignore[type-var]
        elif isinstance(default, str):
            if isinstance(value, str):
                taken[part.name] = value
        elif isinstance(value, int | float) and not isinstance(value, bool):
            if math.isfinite(value):
                taken[part.name] = float(value)
    return taken
