"""Codes with SI numbers: the analysis gives these, only ``app/words/`` makes sentences of them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

_NOTHING: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something is as it is: a stable code and its numbers, SI with the unit in the key.

    Examples
    --------
    >>> Reason("too-few-bursts", {"bursts": 2, "needed": 5}).code
    'too-few-bursts'
    """

    code: str
    values: Mapping[str, float] = field(default_factory=lambda: _NOTHING)


@dataclass(frozen=True, slots=True)
class Interval:
    """A best value with the range that is meant to hold the truth 80 times in 100."""

    low: float
    best: float
    high: float
