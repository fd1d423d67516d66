"""Reading all facts of a job from a form or a TOML file, refusing everything that is wrong at once."""

import difflib
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coordination.siteprep.fact_checks import contradictions
from coordination.siteprep.fact_definitions import DEFAULT_LANDINGS, definitions
from coordination.siteprep.fact_types import STATES, Fact, FactDefinition, Facts, State
from coordination.siteprep.faults import FactErrors, Fault
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.model_sheet import ModelSheet, load_model_sheet
from coordination.siteprep.value_reading import read_value, typed

_STATEMENT = ("value", "state", "said_by", "source")


def read_facts(stated: Mapping[str, Any], model: ModelSheet | None = None) -> Facts:
    """Return the facts that ``stated`` tells, everything else unknown.

    Keys are fact keys, or nested tables of their parts. A value is what a person types, the word
    "unknown", or a table with ``value``, ``state``, ``said_by``, ``source``. Figures of ``model``
    stand where the job does not state its own. Raises FactErrors with every fault found.
    """
    flat, faults = _flattened(stated)
    landings = _landings(flat)
    code_set = str(_bare(flat.get("job.code_set"), "us"))
    known = definitions(landings, code_set if code_set in ("us", "en") else "us")
    units = _units(flat)
    found: dict[str, Fact] = dict(model.figures) if model else {}
    for key, raw in flat.items():
        if key not in known:
            faults.append(_unknown_key(key, known, landings))
            continue
        answer = _statement(known[key], raw, units)
        if isinstance(answer, Fault):
            faults.append(answer)
        else:
            found[key] = answer
    facts = Facts(found.values(), known)
    faults.extend(contradictions(facts))
    if faults:
        order = {key: place for place, key in enumerate(known)}
        raise FactErrors(
            sorted(faults, key=lambda fault: (order.get(fault.fact, len(order)), fault.fact, fault.kind))
        )
    return facts


def load_facts(path: Path) -> Facts:
    """Return the facts of a TOML file. ``model_sheet = "..."`` names a data sheet beside it.

    Raises FactErrors, SheetErrors, or ValueError where the file is no TOML.
    """
    stated = tomllib.loads(path.read_text(encoding="utf-8"))
    sheet = stated.pop("model_sheet", None)
    return read_facts(stated, load_model_sheet(path.parent / str(sheet)) if sheet else None)


def _flattened(stated: Mapping[str, Any], prefix: str = "") -> tuple[dict[str, Any], list[Fault]]:
    flat: dict[str, Any] = {}
    faults: list[Fault] = []
    for part, value in stated.items():
        key = f"{prefix}{part}"
        if isinstance(value, Mapping) and not set(value) & {"value", "state"}:
            below, more = _flattened(value, f"{key}.")
            faults += more
        else:
            below = {key: value}
        faults += [Fault(twice, "given-twice") for twice in below.keys() & flat.keys()]
        flat.update(below)
    return flat, faults


def _bare(raw: Any, default: Any) -> Any:
    value = raw.get("value") if isinstance(raw, Mapping) else raw
    return default if value is None or value == "unknown" else value


def _landings(flat: Mapping[str, Any]) -> tuple[str, ...]:
    definition = definitions()["landings"]
    value = read_value(definition, _bare(flat.get("landings"), DEFAULT_LANDINGS), None)
    return tuple(str(each) for each in value) if isinstance(value, tuple) else DEFAULT_LANDINGS


def _units(flat: Mapping[str, Any]) -> UnitSystem | None:
    stated = str(_bare(flat.get("job.units"), "")).strip().lower()
    return "us" if stated == "us" else "metric" if stated == "metric" else None


def _statement(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> Fact | Fault:
    said = dict(raw) if isinstance(raw, Mapping) else {"value": raw}
    key = definition.key
    for extra in sorted(said.keys() - set(_STATEMENT)):
        return Fault(key, "not-a-statement", {"typed": extra})
    value = said.get("value")
    silent = value is None or value == "" or (isinstance(value, str) and value.strip().lower() == "unknown")
    state = said.get("state", "unknown" if silent else "known")
    if state not in STATES:
        return Fault(key, "not-a-state", {"typed": typed(state)})
    who, where = typed(said.get("said_by", "")), typed(said.get("source", ""))
    if silent:
        return Fact(key, "unknown", None, "", who, where) if state == "unknown" else _no_value(key, state)
    if state == "unknown":
        return Fault(key, "unknown-with-value", {"typed": typed(value)})
    answer = read_value(definition, value, units)
    return answer if isinstance(answer, Fault) else Fact(key, state, answer, typed(value), who, where)


def _no_value(key: str, state: State) -> Fault:
    return Fault(key, "value-missing", {"state": state})


def _unknown_key(key: str, known: Mapping[str, FactDefinition], landings: tuple[str, ...]) -> Fault:
    parts = key.split(".")
    if parts[0] == "landing" and len(parts) == 3 and f"landing.{landings[0]}.{parts[2]}" in known:
        return Fault(key, "unknown-landing", {"landing": parts[1], "landings": ", ".join(landings)})
    nearest = difflib.get_close_matches(key, known, n=1, cutoff=0)
    return Fault(key, "unknown-key", {"nearest": nearest[0] if nearest else "landings"})
