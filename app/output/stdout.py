"""What goes to standard output: exactly one JSON object, or lines for people."""

import json
from collections.abc import Mapping
from typing import Any


def print_json(value: Mapping[str, Any]) -> None:
    """Print one JSON object on a line of its own; NaN and infinity are faults of ours."""
    print(
        json.dumps(value, allow_nan=False, ensure_ascii=False, separators=(", ", ": ")), flush=True
    )
