"""A refrigerant as people write it: which one is meant, and whether it may burn."""

from analysis.hold.leak import REFRIGERANTS, Refrigerant

# Class A1, which shows no flame propagation, of what vehicles hold (ASHRAE 34 [from memory]).
_NO_FLAME = frozenset({"12", "134A", "407C", "450A", "513A", "744"})
_OTHER_NAMES = {"CO2": "744"}
_PREFIXES = ("HFO", "HFC", "CFC", "R")


def fluid_of(text: str) -> Refrigerant | None:
    """Give the refrigerant that is meant, where its data are known.

    Examples
    --------
    >>> fluid_of("r1234 YF") is REFRIGERANTS["R-1234yf"], fluid_of("R-152a")
    (True, None)
    """
    number = _number(text)
    return next((REFRIGERANTS[name] for name in REFRIGERANTS if _number(name) == number), None)


def may_burn(text: str) -> bool:
    """Tell whether it may burn: so may all that is not known not to, or not said.

    Examples
    --------
    >>> may_burn("1234yf"), may_burn("R152a"), may_burn(""), may_burn("HFC-134a"), may_burn("CO2")
    (True, True, True, False, False)
    """
    return _number(text) not in _NO_FLAME


def _number(text: str) -> str:
    """Give what tells it apart: ``R-134a``, ``R134A`` and ``134a`` are one."""
    letters = "".join(each for each in text.upper() if each.isalnum())
    for prefix in _PREFIXES:
        if letters.startswith(prefix) and letters != prefix:
            letters = letters.removeprefix(prefix)
            break
    return _OTHER_NAMES.get(letters, letters)
