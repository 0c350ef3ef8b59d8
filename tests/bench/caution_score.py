"""What was said beside what was true: detection, delay, false cautions, flicker, lingering."""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from statistics import median

import numpy as np

CAUTIONS = (
    "ice", "not-pulling-down", "gauge-shut-off", "rising", "sudden-rise", "no-signal", "cold",
    "no-bursts-seen",
)  # fmt: skip
EARLY_S = 60.0  # a caution this much before its truth is still that caution
RECOVERY_S = 30.0


@dataclass(frozen=True)
class Due:
    """A caution that should stand; ``until_s`` is ``None`` to the end. ``any_of`` will do."""

    any_of: tuple[str, ...]
    from_s: float
    until_s: float | None = None


@dataclass(frozen=True)
class Span:
    """One caution as it was raised and lowered; ``until_s`` is ``None`` where it never was."""

    kind: str
    from_s: float
    until_s: float | None


@dataclass(frozen=True)
class Case:
    """What was true of one run and what was said. ``wrong_flat`` says why a flat was wrong."""

    kind: str
    name: str
    due: tuple[Due, ...]
    allowed: frozenset[str]
    spans: tuple[Span, ...]
    end_s: float
    flat_s: float | None = None
    wrong_flat: str = ""


@dataclass
class Row:
    """Sums over the cases of one kind."""

    cases: int = 0
    raised: Counter[str] = field(default_factory=Counter)  # cases in which it came at all
    due: int = 0
    delays_s: list[float] = field(default_factory=list)
    lingers_s: list[float] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    stood_in: list[str] = field(default_factory=list)  # ice told as ``not-pulling-down``
    false: list[str] = field(default_factory=list)
    false_cases: int = 0
    again: int = 0  # times that a caution came back within one cause
    flats: int = 0
    wrong_flats: list[str] = field(default_factory=list)


class Tally:
    """Sums over cases, by kind."""

    def __init__(self) -> None:
        self.rows: dict[str, Row] = defaultdict(Row)

    def add(self, case: Case) -> None:
        """Match what was said to what was true."""
        row = self.rows[case.kind]
        row.cases += 1
        row.raised.update({span.kind for span in case.spans})
        for due in case.due:
            self._match(row, case, due)
        false = [span for span in case.spans if is_false(span, case)]
        row.false += [f"{case.name} {span.kind}@{span.from_s:.0f}" for span in false]
        row.false_cases += bool(false)
        wanted = {kind for due in case.due for kind in due.any_of}
        for kind in wanted | case.allowed:
            causes = max(1, sum(kind in due.any_of for due in case.due))
            row.again += max(0, sum(span.kind == kind for span in case.spans) - causes)
        row.flats += case.flat_s is not None
        if case.wrong_flat:
            row.wrong_flats.append(f"{case.name} {case.wrong_flat}")

    @staticmethod
    def _match(row: Row, case: Case, due: Due) -> None:
        row.due += 1
        until_s = case.end_s if due.until_s is None else due.until_s + RECOVERY_S
        near = [
            span
            for span in case.spans
            if span.from_s <= until_s
            and (span.until_s is None or span.until_s > due.from_s - EARLY_S)
        ]
        hits = [span for span in near if span.kind in due.any_of]
        if not hits:
            row.missed.append(case.name)
            if "ice" in due.any_of and any(s.kind == "not-pulling-down" for s in near):
                row.stood_in.append(case.name)
            return
        row.delays_s.append(max(0.0, hits[0].from_s - due.from_s))
        if due.until_s is not None:
            last = max(case.end_s if s.until_s is None else s.until_s for s in hits)
            row.lingers_s.append(last - due.until_s)


def is_false(span: Span, case: Case) -> bool:
    """Whether nothing true accounts for a caution."""
    if span.kind in case.allowed:
        return False
    return not any(
        span.kind in due.any_of and span.from_s > due.from_s - EARLY_S for due in case.due
    )


def _quantiles(values: list[float]) -> str:
    if not values:
        return "          "
    return f"{median(values):4.0f} {np.quantile(values, 0.9):5.0f}"


def table(tally: Tally, *, with_names: bool = False) -> str:
    """Give a line for each kind: how often each caution came, in 100, and how well."""
    head = " ".join(f"{c[:9]:>9s}" for c in CAUTIONS)
    lines = [f"{'kind':18s}   n {head} | due seen delay:50 90  over:50 90  again false flat wrong"]
    for kind, row in tally.rows.items():
        shares = " ".join(
            f"{100 * row.raised[c] / row.cases:9.0f}" if row.raised[c] else "        ."
            for c in CAUTIONS
        )
        lines.append(
            f"{kind:18s} {row.cases:3d} {shares} | {row.due:3d} {len(row.delays_s):4d} "
            f"{_quantiles(row.delays_s):>11s} {_quantiles(row.lingers_s):>11s} "
            f"{row.again:6d} {row.false_cases:5d} {row.flats:4d} {len(row.wrong_flats):5d}"
        )
        for title in ("missed", "stood_in", "false", "wrong_flats") if with_names else ():
            names: list[str] = getattr(row, title)
            if names:
                lines.append(f"{'':22s} {title}: {', '.join(names)}")
    rows = tally.rows.values()
    due, seen = sum(r.due for r in rows), sum(len(r.delays_s) for r in rows)
    lines.append(
        f"{sum(r.cases for r in rows)} runs: {seen} of {due} seen, a false caution in "
        f"{sum(r.false_cases for r in rows)}, {sum(r.again for r in rows)} came again, "
        f"flat wrongly in {sum(len(r.wrong_flats) for r in rows)}"
    )
    return "\n".join(lines)
