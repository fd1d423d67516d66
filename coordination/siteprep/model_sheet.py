"""A lift model's own figures, typed once from its data sheet and used for many jobs."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coordination.siteprep.fact_definitions import definitions
from coordination.siteprep.fact_types import Fact
from coordination.siteprep.faults import FactErrors, Fault
from coordination.siteprep.value_reading import read_value, typed

_HEADING = ("model", "document", "revision")


class SheetErrors(FactErrors):
    """Everything that is wrong with a data sheet, all at once."""


@dataclass(frozen=True)
class ModelSheet:
    """Figures of one model from one revision of its data sheet, as facts that name it as their source."""

    model: str
    document: str
    revision: str
    figures: Mapping[str, Fact]

    @property
    def source(self) -> str:
        """The sheet as a source line."""
        return _source(self.model, self.document, self.revision)


def read_model_sheet(content: Mapping[str, Any]) -> ModelSheet:
    """Return the sheet that ``content`` tells: [sheet] with model, document, revision; then tables of figures.

    Only figures that belong on a data sheet are taken. Every length needs its unit.
    Raises SheetErrors with every fault found.
    """
    heading = content.get("sheet", {})
    said = {part: typed(heading.get(part, "")) for part in _HEADING}
    faults = [Fault("sheet", "sheet-incomplete", {"missing": part}) for part in _HEADING if not said[part]]
    source = _source(**said)
    figures: dict[str, Fact | Fault] = {}
    if said["revision"]:
        figures["lift.drawing_revision"] = _figure("lift.drawing_revision", said["revision"], source)
    for key, raw in _flat(content):
        figures[key] = _figure(key, raw, source)
    faults += [answer for answer in figures.values() if isinstance(answer, Fault)]
    if faults:
        raise SheetErrors(faults)
    return ModelSheet(**said, figures={key: fact for key, fact in figures.items() if isinstance(fact, Fact)})


def load_model_sheet(path: Path) -> ModelSheet:
    """Return the data sheet in a TOML file. Raises SheetErrors, or ValueError where the file is no TOML."""
    return read_model_sheet(tomllib.loads(path.read_text(encoding="utf-8")))


def _source(model: str, document: str, revision: str) -> str:
    return f"model data sheet {model}, {document}, revision {revision}"


def _flat(content: Mapping[str, Any], prefix: str = "") -> list[tuple[str, Any]]:
    flat: list[tuple[str, Any]] = []
    for part, value in content.items():
        if prefix or part != "sheet":
            key = f"{prefix}{part}"
            flat += _flat(value, f"{key}.") if isinstance(value, Mapping) else [(key, value)]
    return flat


def _figure(key: str, raw: Any, source: str) -> Fact | Fault:
    definition = definitions().get(key)
    if definition is None:
        return Fault(key, "unknown-key", {"nearest": "lift.pit_least"})
    if not definition.sheet:
        return Fault(key, "not-on-a-sheet")
    value = read_value(definition, raw, None)
    return value if isinstance(value, Fault) else Fact(key, "known", value, typed(raw), "", source)
