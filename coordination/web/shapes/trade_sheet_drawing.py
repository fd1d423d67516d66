"""The place of a trade sheet as a drawing, and its figures with where they are from."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from coordination.evidence import readings
from coordination.gates.building_numbers import drawing_numbers
from coordination.gates.drawing import PlaceState, SheetWords, section_of
from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.pictures.pen import PictureError
from coordination.pictures.section import Section, dimensions_of, name_of
from coordination.siteprep.facts import Facts
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.plan import Plan, Task
from coordination.web.shapes.enlarged import DRAWN, MATTERS
from coordination.web.shapes.sheet_sources import shown_source
from coordination.web.texts import said


@dataclass(frozen=True)
class PlaceDrawing:
    """The building of one project, as its plan and its facts have it."""

    project: str
    plan: Plan
    facts: Facts
    system: UnitSystem

    def section(self, tasks: Sequence[Task], place: str) -> Section | None:
        """The building with what the work there is measured by; None where the place has no drawing."""
        kind = next((row.kind for row in self.plan.places if row.key == place), "")
        if kind not in DRAWN or not self.facts.landings:
            return None
        states = [
            PlaceState(row.key, row.kind, said(row.text), "held", "", landing=row.landing)
            for row in self.plan.places
        ]
        words = SheetWords(self.project, "", ("", "", ""), ("", "", ""))
        matters = frozenset[str]().union(*(MATTERS.get(task.entry, frozenset()) for task in tasks))
        try:
            section = section_of(drawing_numbers(self.facts, self.plan), states, words)
        except PictureError:
            return None
        return replace(section, matters=matters)

    def dimensions(self, section: Section | None, place: str) -> Iterable[tuple[str, str, str]]:
        """Every figure of a place: what, value, and where it is from."""
        if section:
            for item in dimensions_of(section):
                if item.place == place and item.kind not in {"story", "bracket"}:
                    yield name_of(section.words, item), section.words.length(item.value), _("site facts")
        for quantity in self.plan.quantities:
            if quantity.place == place:
                value = readings.shown(quantity.value, quantity.unit, self.system)
                yield said(quantity.text), value, shown_source(quantity.source)


def drawn(section: Section | None, place: str) -> tuple[SafeString, bytes]:
    """The place enlarged, for a screen and for a paper."""
    if section is None:
        return SafeString(""), b""
    try:
        screen = hoistway_section(section, Appearance("trade", "place", focus=place))
        paper = hoistway_section(section, Appearance("trade", "place", focus=place, inks="print"))
    except PictureError:
        return SafeString(""), b""
    return mark_safe(screen), paper.encode()
