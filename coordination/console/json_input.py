"""One JSON value from a file or from standard input, read strictly."""

import json
from typing import Any, NoReturn

from django.utils.translation import gettext as _

from coordination.console.answering import read_text
from coordination.console.refused import Refused


def read_json(name: str) -> Any:
    """The value in a file, or on standard input for ``-``. Raises Refused; a key given twice is refused too."""
    text = read_text(name)
    try:
        return json.loads(text, object_pairs_hook=_once, parse_constant=_no_number)
    except (ValueError, RecursionError) as fault:
        raise Refused(name, [_("not JSON: %(fault)s") % {"fault": fault}]) from None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(_("%(key)s is given twice") % {"key": key})
        found[key] = value
    return found


def _no_number(constant: str) -> NoReturn:
    raise ValueError(_("%(constant)s is not a number") % {"constant": constant})
