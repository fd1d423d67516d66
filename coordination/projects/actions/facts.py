"""Entering facts: append what was said, derive the plan again, and lay it beside the standing one."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Final
from zoneinfo import ZoneInfo

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.projects import deriving
from coordination.projects.changing import lay_beside, would_change
from coordination.projects.fact_values import FactInput, as_stored
from coordination.projects.local_rules import rules_of
from coordination.projects.models import Authority, FactEntry, PlanChange
from coordination.projects.refusals import DatesRefused, NotAQuestion
from coordination.projects.stating import facts_of, newest_entries, stated_facts
from coordination.record.actions import Pen
from coordination.record.models import Event
from coordination.siteprep.facts import Fact, Facts

KEEP: Final[Any] = object()
SAID = ("state", "value", "typed", "said_by", "source")


@dataclass(frozen=True)
class AuthorityInput:
    """What is known of an authority besides its facts: phone, the permit's date, inspections in order.

    What is not given stays as it is; an empty text, None and an empty list take back what was said.
    """

    phone: str = KEEP
    permit_on: date | None = KEEP
    inspections: tuple[str, ...] = KEEP

    def beside(self, row: Authority | None) -> dict[str, Any]:
        """Everything as it stands with this said, as JSON."""
        day = self.permit_on if self.permit_on is not KEEP else row.permit_on if row else None
        return {
            "phone": self.phone.strip() if self.phone is not KEEP else row.phone if row else "",
            "permit_on": day.isoformat() if day else None,
            "inspections": [name.strip() for name in self.inspections]
            if self.inspections is not KEEP
            else list(row.inspections)
            if row
            else [],
        }


@dataclass
class _Entering:
    """One entering of facts while its block is open."""

    project: Project
    inputs: Mapping[str, FactInput]
    authorities: Mapping[str, AuthorityInput]
    visitor: Visitor
    standing: dict[str, FactEntry] = field(default_factory=dict)


def enter_facts(
    project: Project,
    visitor: Visitor,
    at: datetime,
    entries: Mapping[str, FactInput],
    *,
    authorities: Mapping[str, AuthorityInput] | None = None,
    verb: str = "change facts",
) -> PlanChange | None:
    """Add statements to what is known, all of them or none, and lay the derived plan beside the standing one.

    What stands already is not entered again. Gives the open change, or None where the plan stays as it is.
    Raises NotAllowed for the permission ``verb``; FactsRefused naming every fault; RulesRefused where the site's
    own rules do not go with these facts.
    """
    require(visitor, verb)
    entering = _Entering(project, entries, authorities or {}, visitor)
    with deciding(project, visitor, at) as pen:
        return _enter(entering, pen, "facts entered", project.name)


def answer_question(
    project: Project, visitor: Visitor, at: datetime, fact: str, answer: FactInput
) -> PlanChange | None:
    """Settle one open question by stating its fact.

    Raises NotAllowed; NotAQuestion when somebody answered otherwise before; FactsRefused.
    """
    require(visitor, "answer a question")
    entering = _Entering(project, {fact: answer}, {}, visitor)
    with deciding(project, visitor, at) as pen:
        _refuse_what_is_answered(entering, fact)
        return _enter(entering, pen, "question answered", fact)


def set_authority(
    project: Project,
    visitor: Visitor,
    at: datetime,
    kind: str,
    *,
    name: str = "",
    permit: str = "",
    notice_days: int | None = None,
    particulars: AuthorityInput | None = None,
) -> PlanChange | None:
    """Say who inspects, under which permit, and how many days ahead to ask. What is left empty stays as it is.

    Raises NotAllowed, DatesRefused for an unknown kind or a nameless inspection, FactsRefused.
    """
    require(visitor, "answer a question")
    stated = {"name": name.strip() or None, "permit": permit.strip() or None, "notice": notice_days}
    inputs = {
        f"authority.{kind}.{part}": FactInput(typed=str(value))
        for part, value in stated.items()
        if value is not None
    }
    entering = _Entering(project, inputs, {kind: particulars} if particulars else {}, visitor)
    with deciding(project, visitor, at) as pen:
        return _enter(entering, pen, "authority set", kind)


def derive_again(project: Project, visitor: Visitor | None, at: datetime) -> PlanChange | None:
    """Derive from the standing facts once more, as when the catalogue has changed. Twice changes nothing."""
    if visitor is not None:
        require(visitor, "change facts")
    with deciding(project, visitor, at) as pen:
        plan = deriving.plan_of(facts_of(project, newest_entries(project)), *rules_of(project))
        if not would_change(project, plan):
            pen.leave_as_it_is()
            return PlanChange.objects.filter(project=project, state="open").first()
        event = pen.write("plan derived again", subject=project.name, body={"catalogue": plan.catalogue_sha})
        return lay_beside(project, plan, event)


def _enter(entering: _Entering, pen: Pen, verb: str, subject: str) -> PlanChange | None:
    project = entering.project
    entering.standing = newest_entries(project)
    _refuse_authorities(entering.authorities)
    standing = facts_of(project, entering.standing)
    said, whole = stated_facts(standing, entering.inputs, entering.visitor.name)
    new = [said[key] for key in entering.inputs if _is_new(said[key], entering.standing.get(key))]
    particulars = _new_particulars(entering)
    if not new and not particulars:
        pen.leave_as_it_is()
        return PlanChange.objects.filter(project=project, state="open").first()
    event = pen.write(verb, subject=subject, body=_told(new, particulars))
    _keep_entries(entering, new, event, pen.at)
    _follow(project, whole, new, particulars)
    return lay_beside(project, deriving.plan_of(whole, *rules_of(project)), event)


def _is_new(fact: Fact, standing: FactEntry | None) -> bool:
    if standing is None:
        return True
    return any(as_stored(getattr(fact, name)) != getattr(standing, name) for name in SAID)


def _told(new: list[Fact], particulars: Mapping[str, dict[str, Any]]) -> dict[str, Any]:
    told: dict[str, Any] = {
        "facts": {fact.key: {name: as_stored(getattr(fact, name)) for name in SAID} for fact in new}
    }
    return {**told, "authorities": particulars} if particulars else told


def _keep_entries(entering: _Entering, new: list[Fact], event: Event, at: datetime) -> None:
    said_on = at.astimezone(ZoneInfo(entering.project.zone)).date()
    before = {key: entry.seq for key, entry in entering.standing.items()}
    FactEntry.objects.bulk_create(
        FactEntry(
            project=entering.project,
            key=fact.key,
            seq=before.get(fact.key, 0) + 1,
            said_on=said_on,
            event=event,
            **{name: as_stored(getattr(fact, name)) for name in SAID},
        )
        for fact in new
    )


def _follow(
    project: Project, whole: Facts, new: list[Fact], particulars: Mapping[str, dict[str, Any]]
) -> None:
    """Bring what is kept beside the facts into step with them: the code set, and the authorities."""
    if whole.code_set != project.code_set:
        Project.objects.filter(pk=project.pk).update(code_set=whole.code_set)
        project.code_set = whole.code_set
    stated = {fact.key.split(".")[1] for fact in new if fact.key.startswith("authority.")}
    for kind in sorted(stated | particulars.keys()):
        told = {part: whole.value(f"authority.{kind}.{part}") for part in ("name", "permit", "notice")}
        values = {"name": told["name"] or "", "permit": told["permit"] or ""}
        values |= {"notice_days": told["notice"] if told["notice"] is not None else 2}
        values |= _from_json(particulars.get(kind, {}))
        Authority.objects.update_or_create(project=project, kind=kind, defaults=values)


def _new_particulars(entering: _Entering) -> dict[str, dict[str, Any]]:
    """Particulars of authorities that differ from their rows, as JSON."""
    rows = {row.kind: row for row in Authority.objects.filter(project=entering.project)}
    found = {}
    for kind, told in entering.authorities.items():
        wanted = told.beside(rows.get(kind))
        if wanted != AuthorityInput().beside(rows.get(kind)):
            found[kind] = wanted
    return found


def _from_json(particulars: Mapping[str, Any]) -> dict[str, Any]:
    day = particulars.get("permit_on")
    return {**particulars, "permit_on": date.fromisoformat(day)} if day else dict(particulars)


def _refuse_authorities(authorities: Mapping[str, AuthorityInput]) -> None:
    choices = ", ".join(Authority.KINDS)
    reasons = [
        Reason("no such authority", {"typed": kind, "choices": choices})
        for kind in authorities
        if kind not in Authority.KINDS
    ]
    nameless = [
        kind
        for kind, told in authorities.items()
        if told.inspections is not KEEP and not all(map(str.strip, told.inspections))
    ]
    if reasons or nameless:
        raise DatesRefused(*reasons, *(Reason("inspection without a name", {"kind": k}) for k in nameless))


def _refuse_what_is_answered(entering: _Entering, fact: str) -> None:
    facts = facts_of(entering.project, newest_entries(entering.project))
    standing = facts.get(fact)
    if standing is None or standing.state != "known":
        return
    said, _whole = stated_facts(facts, entering.inputs, entering.visitor.name)
    if said[fact].value != standing.value:
        told = {"typed": standing.typed, "said_by": standing.said_by}
        raise NotAQuestion(Reason("question answered already", told))
