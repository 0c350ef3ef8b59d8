"""Strict JSON: UTF-8, one form for one value, no NaN or Infinity, no key twice."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, NoReturn

import numpy as np

from app.jobfile.errors import JobFileError


def plain(value: object) -> object:
    """Turn frozen dataclasses, mappings, sequences and numpy scalars into what JSON knows."""
    if is_dataclass(value) and not isinstance(value, type):
        return {part.name: plain(getattr(value, part.name)) for part in fields(value)}
    if isinstance(value, Mapping):
        return {key: plain(part) for key, part in value.items()}
    if isinstance(value, np.generic):
        return value.item()
    if isinstance(value, Sequence) and not isinstance(value, str | bytes):
        return [plain(part) for part in value]
    return value


def encode_json(value: Mapping[str, object]) -> bytes:
    """Write an object in its one form: sorted keys, no blanks.

    Half a surrogate pair (from a broken file name or paste) has no UTF-8 and becomes ``?``.

    Raises
    ------
    JobFileError
        If it holds NaN, Infinity, a key that is no text, or something JSON has no form for.
    """
    try:
        _check_keys(value)
        text = json.dumps(
            value, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":")
        )
    except (TypeError, ValueError, RecursionError) as error:
        raise JobFileError(f"This cannot be written into a job file as JSON: {error}.") from error
    return text.encode("utf-8", "replace")


def decode_json(payload: bytes) -> dict[str, Any]:
    """Read an object strictly.

    Raises
    ------
    JobFileError
        If it is not UTF-8, no JSON object, names a key twice, or holds NaN or Infinity.
    """
    try:
        value = json.loads(
            payload.decode("utf-8"),
            parse_constant=_refuse,
            object_pairs_hook=_once,
            parse_float=_finite,
            parse_int=_whole,
        )
        if b"\\u" in payload:  # half a surrogate pair could not be written anywhere
            json.dumps(value, ensure_ascii=False).encode()
    except (UnicodeError, ValueError, RecursionError) as error:
        raise JobFileError(f"A row holds no proper JSON: {str(error)[:100]}.") from None
    if not isinstance(value, dict):
        raise JobFileError("A row holds JSON that is not an object.")
    return value


def _check_keys(value: object) -> None:
    if isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise TypeError("a key is no text")
        for part in value.values():
            _check_keys(part)
    elif isinstance(value, list):
        for part in value:
            _check_keys(part)


def _refuse(text: str) -> NoReturn:
    raise ValueError(f"{text} is no number")


def _finite(text: str) -> float:
    number = float(text)
    if number in (float("inf"), float("-inf")):
        raise ValueError(f"{text[:20]} is out of range")
    return number


def _whole(text: str) -> int:
    # Longer ones fit no float64, and whoever reckons with them would fall over.
    if len(text) > 20:
        raise ValueError(f"{text[:20]}... is out of range")
    return int(text)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    value = dict(pairs)
    if len(value) != len(pairs):
        raise ValueError("a key is there twice")
    return value
