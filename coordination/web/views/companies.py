"""Which company does a trade's work, and who stands on the project."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.access import actions
from coordination.access.models import ROLES
from coordination.access.permissions import may
from coordination.access.queries import assignments, companies, company_of, members
from coordination.access.refusals import CannotBeSo, CannotLeave
from coordination.access.visitors import Visitor
from coordination.dates.trade_days import let_trade_come, refuse_day, work_to_come
from coordination.dates.what_if import Supposed, what_if
from coordination.gates.calendars import local_day
from coordination.projects.refusals import DatesRefused
from coordination.web.addresses import address_of
from coordination.web.forms.base import SheetForm
from coordination.web.forms.companies import (
    VERB_OF_ROLE,
    AssignForm,
    CompanyForm,
    LeavingForm,
    MemberForm,
    ReachForm,
)
from coordination.web.guards import guard
from coordination.web.previews import confirmed, preview
from coordination.web.refused import in_words
from coordination.web.shapes.companies import (
    TradeLine,
    assignment_words,
    member_lines,
    trade_lines,
    trade_names,
)

VERBS: Mapping[str, str] = {
    "assign": "assign a company",
    "company": "assign a company",
    "reach": "assign a company",
    "member": "add a member",
    "leave": "add a member",
}


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """Trades with their companies, the people, and forms to add to both; ``doing`` says which was sent."""
    doing = request.POST.get("doing", "")
    if request.method != "POST":
        return _page(request, guard(request, project, "see the project"))
    visitor = guard(request, project, VERBS.get(doing, "assign a company"))
    form = _forms(visitor, trade_names(visitor.project), doing, request.POST).get(doing)
    if form is None:
        return _page(request, visitor, reasons=[_("Say what is to be done.")])
    if not form.is_valid():
        return _page(request, visitor, doing, form)
    try:
        if doing == "assign" and not confirmed(request) and (effect := _effect(request, visitor, form)):
            return effect
        done = DOINGS[doing](visitor, form.cleaned_data)
    except (CannotBeSo, CannotLeave, DatesRefused) as refusal:
        return _page(request, visitor, doing, form, in_words(refusal))
    messages.success(request, done)
    return redirect("companies", project)


def _assign(visitor: Visitor, told: dict[str, Any]) -> str:
    company = company_of(visitor.project, told["company"])
    known, day = trade_names(visitor.project), told["from_day"]
    told = {"trade": told["trade"], "company": company, "known": known}
    actions.assign_company(visitor.project, visitor, timezone.now(), **told)
    if day is not None:
        let_trade_come(visitor.project, visitor, timezone.now(), trade=told["trade"], day=day)
    return _("%(company)s does the work of: %(trade)s.") % {
        "company": company.name,
        "trade": known[told["trade"]],
    }


def _effect(request: HttpRequest, visitor: Visitor, form: SheetForm) -> HttpResponse | None:
    """What another company, or the day from which it can come, would do; None where it alters nothing."""
    site, told = visitor.project, form.cleaned_data
    trade, day = told["trade"], told["from_day"]
    standing, company = assignments(site).get(trade), company_of(site, told["company"])
    tasks = [row for row in work_to_come(site, trade) if day and row.not_before != day]
    if (standing is None or standing.uid == company.uid) and not tasks:
        return None
    if tasks:
        refuse_day(tasks, day)
    supposed = Supposed(tasks={row.key: {"not_before": day} for row in tasks})
    return preview(
        request,
        site,
        what_if(site, local_day(site, timezone.now()), supposed),
        told=assignment_words(trade_names(site)[trade], standing, company.name, day, len(tasks)),
        notes=[]
        if day
        else [_("A company alone moves no date. Go back and say from which day they can come.")],
        back=reverse("companies", args=[site.uid]),
    )


def _introduce(visitor: Visitor, told: dict[str, Any]) -> str:
    company = actions.introduce_company(visitor.project, visitor, timezone.now(), **told)
    return _("%(company)s can be given a trade now.") % {"company": company.name}


def _reach(visitor: Visitor, told: dict[str, Any]) -> str:
    company = company_of(visitor.project, told["company"])
    how = {name: told[name] for name in ("contact", "phone", "email")}
    actions.set_reach(visitor.project, visitor, timezone.now(), company, **how)
    return _("How %(company)s is reached is written down.") % {"company": company.name}


def _add(visitor: Visitor, told: dict[str, Any]) -> str:
    company = company_of(visitor.project, told["company"])
    person = actions.add_person(
        told["email"], told["name"], told["phone"], told["language"] or settings.LANGUAGE_CODE
    )
    standing = {name: told[name] for name in ("role", "trade", "deputy")}
    standing |= {"known": trade_names(visitor.project)}
    actions.add_member(visitor.project, visitor, timezone.now(), person=person, company=company, **standing)
    return _("%(name)s stands on the project now.") % {"name": person.name}


def _end(visitor: Visitor, told: dict[str, Any]) -> str:
    actions.end_membership(visitor.project, visitor, timezone.now(), told["member"])
    return _("They have left the project; what they entered stays.")


DOINGS: Mapping[str, Callable[[Visitor, dict[str, Any]], str]] = {
    "assign": _assign,
    "company": _introduce,
    "reach": _reach,
    "member": _add,
    "leave": _end,
}


def _forms(
    visitor: Visitor, names: Mapping[str, str], doing: str = "", data: QueryDict | None = None
) -> dict[str, SheetForm]:
    """Every form of the page, the one that was sent with its data."""
    trades, known = names.items(), companies(visitor.project)
    sent = {name: data if name == doing else None for name in VERBS}
    return {
        "assign": AssignForm(sent["assign"], trades=trades, companies=known),
        "company": CompanyForm(sent["company"], prefix=None, auto_id="id_company_%s"),
        "reach": ReachForm(sent["reach"], auto_id="id_reach_sent_%s"),
        "member": MemberForm(
            sent["member"], visitor=visitor, trades=trades, companies=known, auto_id="id_member_%s"
        ),
        "leave": LeavingForm(sent["leave"]),
    }


def _with_reach(
    lines: Iterable[TradeLine], sent: SheetForm | None, *, alters: bool
) -> Iterable[tuple[TradeLine, SheetForm | None]]:
    """Each line with the form of how its company is reached; the one that was sent on its own line."""
    for line in lines:
        if line.company is None or not alters:
            yield line, None
        elif sent is not None and sent.data.get("line") == line.key:
            yield line, sent
        else:
            yield line, ReachForm.of(line.company, line.key)


def _page(
    request: HttpRequest,
    visitor: Visitor,
    doing: str = "",
    sent: SheetForm | None = None,
    reasons: list[str] | None = None,
) -> HttpResponse:
    site, people = visitor.project, members(visitor.project)
    ending = {role: may(visitor, VERB_OF_ROLE.get(role, "add a member")) for role in ROLES}
    names = trade_names(site)
    forms = _forms(visitor, names) | ({doing: sent} if sent else {})
    lines = trade_lines(site, names, assignments(site), people)
    reached = sent if doing == "reach" else None
    context = {
        "trades": lines,
        "rows": list(_with_reach(lines, reached, alters=may(visitor, "assign a company"))),
        "companies": companies(site),
        "people": member_lines(people, names, ending),
        "forms": forms,
        "form": sent,
        "doing": doing,
        "sent_trade": sent.data.get("trade", "") if sent and doing == "assign" else "",
        "reasons": reasons,
        "may_assign": may(visitor, "assign a company"),
        "may_add": may(visitor, "add a member"),
        "links_href": address_of("links", site.uid) if may(visitor, "send a link") else "",
    }
    return render(request, "companies/index.html", context, status=422 if sent or reasons else 200)
