"""The site-ready statement on one page: what it says, and the proof that it rests on."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.dates.models import SiteStatement, Visit
from coordination.evidence import readings
from coordination.evidence.outcomes import Item
from coordination.gates.calendars import local_day
from coordination.gates.queries import Scene
from coordination.gates.reasons import KINDS
from coordination.gates.sentences import Names
from coordination.gates.visits import Proof, proof_of
from coordination.projects.models import Condition, Requirement
from coordination.projects.queries import standing_plan
from coordination.projects.stating import facts_of
from coordination.projects.trade_words import in_words_of
from coordination.web.shapes.needs import system_of
from coordination.web.shapes.visit_page import VisitPage, money
from coordination.web.shapes.what_if import day_words
from coordination.web.texts import on_day, said


@dataclass(frozen=True)
class ProofLine:
    """One thing that is ready, and by what that shows."""

    name: str
    proof: str


@dataclass(frozen=True)
class Statement:
    """The whole statement as it reads now."""

    visit: str
    day: str
    sentence: str
    charge: str
    lines: tuple[ProofLine, ...]
    cautions: tuple[str, ...]
    drawing: str
    contractor: str
    digest: str
    charge_cents: int
    proof: Proof


def statement_of(page: VisitPage, visit: Visit) -> Statement:
    """The statement for a booked visit, from what stands now."""
    scene, proof = page.scene, proof_of(page.scene, page.key)
    project, day = scene.holding.project, day_words(visit.day)
    plan = standing_plan(project)
    keys = dict.fromkeys(key for gate in proof.gates for key in gate.derived.get("cautions", ()))
    return Statement(
        visit=page.name,
        day=day,
        sentence=in_words_of(
            project.code_set,
            _(
                "For the visit of the {lift} crew on %(day)s the site is ready: all that is listed is as it is listed."
            )
            % {"day": day},
        ),
        charge=_charge(project.code_set, visit.wasted_trip_cents),
        lines=tuple(_lines(proof, scene)),
        cautions=tuple(said(plan.cautions[key]) for key in keys if key in plan.cautions),
        drawing=plan.drawing_revision,
        contractor=scene.holding.company_of("general contractor")[0],
        digest=proof.digest,
        charge_cents=visit.wasted_trip_cents,
        proof=proof,
    )


def signed_words(signed: SiteStatement) -> str:
    """Who signed, for whom, when."""
    day = day_words(local_day(signed.visit.project, signed.at))
    who = ", ".join(filter(None, (signed.signed_name, signed.company)))
    return _("%(who)s, %(day)s") % {"who": who, "day": day}


def _charge(code_set: str, cents: int) -> str:
    if not cents:
        return _("No charge for a wasted trip was named when the visit was booked.")
    words = _(
        "If the {lift} crew comes and finds the site not ready, the general contractor is charged %(cost)s."
    )
    return in_words_of(code_set, words % {"cost": money(cents)})


def _lines(proof: Proof, scene: Scene) -> Iterator[ProofLine]:
    names = Names(scene.holding)
    for row in sorted(proof.conditions, key=lambda row: (_ORDER.index(row.kind), row.subject)):
        yield ProofLine(_name(row, names, scene), _proof(row, scene))
    for need in proof.requirements:
        yield ProofLine(capfirst(names.requirement(scene.holding.key_of(need))), _shown([need], scene))


_ORDER = ("gate cleared", "task accepted", "requirement satisfied", "document present", "question answered")


def _name(row: Condition, names: Names, scene: Scene) -> str:
    if row.kind == "gate cleared":
        return names.gate(row.subject)
    if row.kind == "task accepted":
        return _with_place(capfirst(names.task(row.subject)), row.subject, scene)
    if row.kind == "question answered":
        definition = facts_of(scene.holding.project, scene.holding.newest_entry).definitions.get(row.subject)
        return capfirst(said(definition.text)) if definition else row.subject
    return capfirst(names.requirement(row.subject))


def _with_place(name: str, key: str, scene: Scene) -> str:
    """The name with its place, where the same work stands at several."""
    entry, _at, place = key.partition("@")
    same = [task for task in scene.holding.tasks if task.entry == entry and task.retired_in is None]
    if len(same) < 2:
        return name
    places = {each.key: said(each.text) for each in standing_plan(scene.holding.project).places}
    return f"{name}, {places.get(place, place)}"


def _proof(row: Condition, scene: Scene) -> str:
    holding = scene.holding
    if row.kind == "gate cleared":
        gate = holding.gate_by_key.get(row.subject)
        clearing = holding.standing_clearing(gate) if gate else None
        return (
            _("cleared %(day)s") % {"day": _day(clearing.cleared_at, scene)} if clearing else _("not cleared")
        )
    if row.kind == "task accepted":
        task = holding.task_by_key.get(row.subject)
        ready = scene.assessment.tasks.get(row.subject)
        if task is None or ready is None or not ready.satisfied:
            return _("missing")
        told = _shown(holding.requirements_of[task.pk], scene)
        done = _("done %(day)s") % {"day": on_day(task.finished_on)} if task.finished_on else ""
        return "; ".join(filter(None, (done, told)))
    if row.kind == "question answered":
        entry = holding.newest_entry.get(row.subject)
        told = {"typed": entry.typed or entry.value, "who": entry.said_by} if entry else {}
        return _("%(typed)s, says %(who)s") % told if entry and entry.state == "known" else _("missing")
    need = holding.requirement_by_key.get(row.subject)
    return _shown([need], scene) if need else _("missing")


def _shown(needs: Iterable[Requirement], scene: Scene) -> str:
    """The evidence in short: photos counted, readings and numbers as they read, by whom it was looked at."""
    parts: list[str] = []
    photos, reviewers, newest = 0, dict[str, None](), None
    for need in needs:
        if need.pk in scene.holding.standing_concession:
            parts.append(str(KINDS[scene.holding.standing_concession[need.pk].kind]))
            continue
        if scene.reading.how(need) not in ("accepted", "released"):
            parts.append(_("missing"))
            continue
        for item in scene.holding.shown[need.pk].counted:
            moment = item.evidence.received_at
            newest = moment if newest is None else max(newest, moment)
            photos += need.kind == "photo"
            parts += [words] if (words := _item(item, need, scene)) else []
            if item.review:
                reviewers[item.review.reviewer_name] = None
    if photos:
        parts.insert(0, ngettext("%(n)d photo", "%(n)d photos", photos) % {"n": photos})
    if reviewers:
        parts.append(_("accepted by %(who)s") % {"who": ", ".join(reviewers)})
    if newest is not None:
        parts.append(_day(newest, scene))
    return "; ".join(parts)


def _item(item: Item, need: Requirement, scene: Scene) -> str:
    evidence = item.evidence
    if need.kind == "reading":
        return readings.shown(evidence.value, need.terms.get("unit") or "count", system_of(scene))
    if need.kind == "signature":
        return _("signed by %(name)s") % {"name": evidence.typed}
    if need.kind == "document":
        return _("no. %(number)s") % {"number": evidence.number} if evidence.number else _("document")
    return ""


def _day(moment: datetime, scene: Scene) -> str:
    return on_day(local_day(scene.holding.project, moment))
