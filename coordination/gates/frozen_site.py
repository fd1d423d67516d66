"""What stands on a site as plain values, for every paper that is made from it later: no row's own key is among them.

Lengths are nanometres; days are ISO dates, times ISO with offset, UTC.
"""

import json
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import Any

from coordination.gates.building_numbers import drawing_numbers
from coordination.gates.frozen_concessions import let_go_in
from coordination.gates.frozen_work import Values, day_of
from coordination.gates.holding import Holding
from coordination.gates.scene import Scene
from coordination.projects.deriving import read_plan
from coordination.projects.models import PlanRevision
from coordination.projects.stating import facts_of
from coordination.readiness import Assessment
from coordination.record.chaining import canonical
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan_parts import Plan


class FrozenSite:
    """The parts of a site that are the same whatever the paper is about."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.holding: Holding = scene.holding

    @cached_property
    def judged(self) -> Assessment:
        """How everything stands."""
        return self.scene.assessment

    @cached_property
    def revision(self) -> PlanRevision | None:
        """The standing plan with its text, which the holding leaves in the database."""
        return PlanRevision.objects.filter(project=self.holding.project).order_by("-number").first()

    @cached_property
    def plan(self) -> Plan | None:
        return read_plan(self.revision.derived) if self.revision else None

    @cached_property
    def known(self) -> Facts:
        return facts_of(self.holding.project, self.holding.newest_entry)

    def project(self) -> Values:
        project = self.holding.project
        return {
            "uid": str(project.uid),
            "name": project.name,
            "place": project.place,
            "zone": project.zone,
            "code_set": project.code_set,
            "supplier": str(project.supplier.uid),
            "supplier_name": project.supplier.name,
        }

    def of_plan(self) -> Values:
        return {
            "revision": self.revision.number if self.revision else 0,
            "catalogue_sha": self.revision.catalogue_sha if self.revision else "",
            "drawing_revision": (self.plan.drawing_revision if self.plan else "") or None,
        }

    def facts(self) -> list[Values]:
        return [
            {
                "key": entry.key,
                "text": self._fact_text(entry.key),
                "state": entry.state,
                "value": entry.value,
                "typed": entry.typed,
                "said_by": entry.said_by,
                "source": entry.source,
                "said_on": day_of(entry.said_on),
            }
            for _key, entry in sorted(self.holding.newest_entry.items())
        ]

    def _fact_text(self, key: str) -> Mapping[str, str]:
        definition = self.known.definitions.get(key)
        return dict(definition.text) if definition else {}

    def drawing(self) -> Values | None:
        return drawing_numbers(self.known, self.plan) if self.plan and self.known.landings else None

    def places(self) -> list[Values]:
        states = self.judged.places
        return [
            {
                "key": place.key,
                "kind": place.kind,
                "text": dict(place.text),
                "landing": place.landing,
                "side": place.side,
                "state": states.get(place.key, "done"),
            }
            for place in (self.plan.places if self.plan else ())
        ]

    def quantities(self) -> list[Values]:
        return [
            {
                "key": item.key,
                "place": item.place,
                "text": dict(item.text),
                "value": item.value,
                "unit": item.unit,
                "source": plain(vars(item.source)),
            }
            for item in (self.plan.quantities if self.plan else ())
        ]

    def let_go(self) -> Values:
        """Everything that was let go, of this and of every earlier gate: shown on each later paper."""
        return let_go_in(self.holding)

    def authorities(self) -> list[Values]:
        return [
            {
                "kind": row.kind,
                "name": row.name,
                "permit": row.permit,
                "permit_on": day_of(row.permit_on),
            }
            for row in self.holding.authorities
        ]

    def companies(self) -> list[Values]:
        """No telephone: what is frozen here travels inside papers that strangers carry on."""
        found = ({"trade": row.trade, "name": row.company.name} for row in self.holding.assignments)
        return sorted(found, key=lambda item: item["trade"])

    def texts_of_cautions(self, keys: Iterable[str]) -> list[Values]:
        """The cautions of ``keys``, each once, in that order."""
        texts = self.plan.cautions if self.plan else {}
        return [{"key": key, "text": dict(texts.get(key, {}))} for key in dict.fromkeys(keys)]


def plain(values: Any) -> Any:
    return json.loads(canonical(values))
