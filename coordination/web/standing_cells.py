"""The cells of a title block: next gate, next visit, the drawing that governs."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.dates.queries import SiteDates
from coordination.gates.drawing_revision import other_revision
from coordination.gates.queries import Scene
from coordination.projects.models import Gate
from coordination.siteprep.plan import Plan
from coordination.web.addresses import address_of
from coordination.web.texts import on_day, said


@dataclass(frozen=True)
class Cell:
    """Label above value; see components/cells.html."""

    label: str
    value: str
    note: str = ""
    href: str = ""
    state: str = ""


def next_gate(scene: Scene, site: SiteDates) -> Gate | None:
    """The gate that comes first among those not cleared."""
    return scene.holding.gate_by_key.get(site.next_gate[0]) if site.next_gate else None


def gate_cell(scene: Scene, site: SiteDates) -> Cell:
    gate = next_gate(scene, site)
    if gate is None or site.next_gate is None:
        return Cell(_("next gate"), _("none left") if scene.holding.gates else _("no plan yet"))
    number = len(scene.assessment.gates[gate.key].missing)
    missing = ngettext("%(number)s thing missing", "%(number)s things missing", number) % {"number": number}
    return Cell(
        _("next gate"),
        said(scene.holding.task[gate.task_id].derived.get("text", {})),
        _("%(missing)s; %(day)s") % {"missing": missing, "day": on_day(site.next_gate[1])},
        address_of("gate", scene.holding.project.uid, scene.holding.task[gate.task_id].uid),
    )


def visit_cell(site: SiteDates) -> Cell:
    visit = site.next_visit
    if visit is None:
        return Cell(_("next visit"), _("none booked"), href=address_of("visits", site.project.uid))
    confirm = _("confirm by %(day)s") % {"day": on_day(visit.confirm_by)}
    return Cell(_("next visit"), on_day(visit.day), confirm, address_of("visits", site.project.uid))


def drawing_cell(plan: Plan, scene: Scene) -> Cell:
    if not plan.drawing_revision:
        return Cell(_("drawing"), _("not yet issued"))
    told = _("revision %(revision)s") % {"revision": plan.drawing_revision}
    return Cell(_("drawing"), told, other_revision_words(plan, scene))


def other_revision_words(plan: Plan, scene: Scene) -> str:
    """Whether another revision was handed in than the one the plan was made from; empty where it was not."""
    other = other_revision(scene.holding, plan)
    if not other:
        return ""
    return _("revision %(revision)s was handed in; the plan’s dimensions are not from it") % {
        "revision": other
    }
