"""Values as JSON text for a terminal, a file or another program."""

import json
from typing import Any


def as_json_text(value: Any) -> str:
    """Indented, letters as they are; a number that JSON cannot say is a fault of ours and raises ValueError."""
    return json.dumps(value, indent=1, ensure_ascii=False, allow_nan=False)
