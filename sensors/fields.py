"""One line of text to its fields: delimited, ``name=value`` pairs, or a JSON object."""

import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from sensors.quantity import parse_quantity
from sensors.units import is_temperature_unit, unit_named

BLANKS = " "
_NAMED = {"comma": ",", "semicolon": ";", "tab": "\t", "blanks": BLANKS, "blank": BLANKS}
_PAIR = re.compile(r"([A-Za-z_][\w.\-/]*)\s*=\s*")


@dataclass(frozen=True, slots=True)
class Fields:
    """The fields of one line in their order; ``names`` is ``None`` where the line has none."""

    values: tuple[str, ...]
    names: tuple[str, ...] | None
    is_decimal_comma: bool
    delimiter: str | None = None  # None: not known, or nothing was separated


def delimiter_named(text: str) -> str:
    """Give the delimiter for an option's text: the character itself or its name.

    Raises
    ------
    ValueError
        If it is neither.
    """
    named = _NAMED.get(text.casefold(), text)
    if len(named) != 1 or named.isalnum() or named in ".+-=\"'\r\n":
        raise ValueError("expected one character, or comma, semicolon, tab or blanks")
    return named


def split_json(line: str) -> Fields:
    """Read one JSON object; nested keys are joined by dots.

    Raises
    ------
    ValueError
        If the line is no JSON object.
    """
    try:
        # Whole numbers as floats: one of 4000 digits then is infinite, and not an overflow.
        tree = json.loads(line, parse_int=float)
    except (ValueError, RecursionError):
        raise ValueError("the line is no JSON object") from None
    if not isinstance(tree, dict):
        raise ValueError("the line is no JSON object")
    flat: dict[str, str] = {}
    rest: list[tuple[str, object]] = [(str(key), value) for key, value in tree.items()]
    while rest:
        name, value = rest.pop(0)
        if isinstance(value, list):
            flat.setdefault(name, "a list")
        elif isinstance(value, dict):
            rest.extend((f"{name}.{key}", below) for key, below in value.items())
        else:
            flat.setdefault(name, value if isinstance(value, str) else repr(value))
    return Fields(tuple(flat.values()), tuple(flat), is_decimal_comma=False)


def split_pairs(line: str, delimiter: str | None) -> Fields:
    """Read ``name=value`` pairs, with any delimiter between them.

    Raises
    ------
    ValueError
        If a name comes twice, or a comma may be a decimal comma or a separator.
    """
    found = list(_PAIR.finditer(line))
    ends = [match.start() for match in found[1:]] + [len(line)]
    raw = [line[match.end() : end].strip() for match, end in zip(found, ends, strict=True)]
    names = tuple(match[1] for match in found)
    if len({name.casefold() for name in names}) < len(names):
        raise ValueError("a name comes twice in the line")
    is_comma = any(value.endswith(",") for value in raw[:-1])
    if delimiter is None and len(raw) == 1 and re.search(r"[0-9],[0-9]", raw[0]):
        raise ValueError(_AMBIGUOUS)
    edge = " \t,;" + (delimiter or "")
    values = tuple(value.rstrip(edge).strip('"') for value in raw)
    return Fields(values, names, is_decimal_comma=not is_comma and delimiter != ",")


_AMBIGUOUS = (
    "the comma may be a decimal comma or separate two fields; "
    "expected the option delimiter=blanks or delimiter=comma to tell"
)
_THOUSANDS = re.compile(r"\d{1,3}(,\d{3})+\.\d*")
_MAYBE_THOUSANDS = (
    "the comma may set thousands apart or separate two fields; "
    "expected the option delimiter=comma where it separates"
)


def split_delimited(
    line: str, delimiter: str | None, *, learned: str | None, highest_field: int
) -> Fields:
    """Split at the delimiter, finding it where none is given.

    Parameters
    ----------
    learned
        What separated an earlier line of the same stream that gave a reading; used only where
        this line could be read both ways.
    highest_field
        The highest field number asked for: with 2 or more, ``523,21`` is two fields.

    Raises
    ------
    ValueError
        If a comma may be a decimal comma or a separator and nothing tells which.
    """
    line = re.sub(r"([<>])\s+(?=[0-9.+-])", r"\1", line)  # "> 25000" is one field
    # ... and so is "+ 523"; not in "523 - 21.5", where the dash stands for a missing value.
    line = re.sub(r"((?:^|[,;\t])\s*[+-])\s+(?=[0-9.])", r"\1", line)
    found = delimiter or _find_delimiter(line, learned, highest_field)
    if found == BLANKS:
        words = _with_units(line.split(), is_told=delimiter is not None)
        return Fields(words, None, is_decimal_comma=True, delimiter=found)
    values = tuple(value.strip().strip('"').strip() for value in line.split(found))
    return Fields(values, None, is_decimal_comma=found != ",", delimiter=found)


def _with_units(words: list[str], *, is_told: bool) -> tuple[str, ...]:
    # "523 micron 21.5 C": the unit stays a field of its own, so that fields count as they are
    # seen, and is also joined to its number. So is any other word, unless the user told that
    # blanks separate: "523 psig" must be refused, and not be read as 523 of something else.
    joined = list(words)
    for at, (word, after) in enumerate(pairwise(words)):
        is_unit = unit_named(after) is not None or is_temperature_unit(after)
        if word[-1] in "0123456789." and (is_unit or (not is_told and not _has_digit(after))):
            joined[at] = f"{word} {after}"
    return tuple(joined)


def _has_digit(text: str) -> bool:
    return any(character.isdecimal() for character in text)


def _find_delimiter(line: str, learned: str | None, highest_field: int) -> str:
    for delimiter in "\t;":
        if delimiter in line:
            return delimiter
    words = line.split()
    if "," not in line:
        return BLANKS
    if highest_field == 1 and learned != "," and any(map(_THOUSANDS.fullmatch, words)):
        raise ValueError(_MAYBE_THOUSANDS)
    if not _are_numbers((word for word in words if "," in word), is_decimal_comma=True):
        return ","
    if not _are_numbers(line.split(","), is_decimal_comma=False):
        return BLANKS
    if highest_field > 1 and "," in words[0] and not any("," in word for word in words[1:]):
        return ","
    if learned is not None:
        return learned
    raise ValueError(_AMBIGUOUS)


def _are_numbers(fields: Iterable[str], *, is_decimal_comma: bool) -> bool:
    for field in fields:
        try:
            quantity = parse_quantity(field, is_decimal_comma=is_decimal_comma)
        except ValueError:
            return False
        unit = quantity.unit
        if unit and not (unit_named(unit) or is_temperature_unit(unit)):
            return False
    return True
