"""Reading a plan back from the canonical JSON that ``Plan.as_json`` writes."""

import dataclasses
import json
import types
from functools import lru_cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from coordination.siteprep.plan_parts import Plan


def plan_from_json(text: str) -> Plan:
    """Return the plan that ``Plan.as_json`` wrote. Raises ValueError or KeyError where it is none."""
    content = json.loads(text)
    if not isinstance(content, dict):
        raise ValueError("not a plan")
    plan: Plan = _built(Plan, content)
    return plan


@lru_cache
def _fields(kind: type) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {each.name: hints[each.name] for each in dataclasses.fields(kind)}


def _written(kind: type, value: dict[str, Any]) -> list[tuple[str, Any]]:
    """The fields to read: a plan that was kept before a field was thought of does without it."""
    given = {
        each.name
        for each in dataclasses.fields(kind)
        if each.default is not dataclasses.MISSING and each.name not in value
    }
    return [(name, hint) for name, hint in _fields(kind).items() if name not in given]


def _built(kind: Any, value: Any) -> Any:
    """Return ``value`` as the annotated ``kind``: dataclass, tuple, optional, mapping or plain."""
    inner = get_args(kind)
    if value is None:
        return None
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        return kind(**{name: _built(hint, value[name]) for name, hint in _written(kind, value)})
    if get_origin(kind) is tuple:
        return tuple(_built(inner[0], each) for each in value)
    if get_origin(kind) in (Union, types.UnionType):
        kinds = [each for each in inner if each is not types.NoneType]
        return _built(kinds[0], value) if len(kinds) == 1 else value
    if isinstance(value, dict):
        return {key: _built(inner[1], each) for key, each in value.items()}
    return value
