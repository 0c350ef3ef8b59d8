"""What goes to standard output: exactly one JSON object, or lines for people."""

import json
import sys
from collections.abc import Mapping
from typing import Any


def print_json(value: Mapping[str, Any]) -> None:
    """Print one JSON object on a line of its own; NaN and infinity are faults of ours."""
    has_all_letters = (sys.stdout.encoding or "").lower().startswith("utf")
    text = json.dumps(
        value, allow_nan=False, ensure_ascii=not has_all_letters, separators=(", ", ": ")
    )
    print(text, flush=True)
