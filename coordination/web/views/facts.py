"""Site facts: what is known, what is asked, and what a change of them does to the plan."""

from collections.abc import Mapping
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from coordination.access.permissions import may
from coordination.access.sentences import sentence
from coordination.access.visitors import Visitor
from coordination.dates.networks import FACTS
from coordination.dates.queries import needed_by
from coordination.dates.what_if import Supposed, plan_comparison, what_if
from coordination.gates.actions import accept_change
from coordination.gates.calendars import local_day
from coordination.projects.actions import answer_question, enter_facts
from coordination.projects.fact_values import FactInput, as_stored
from coordination.projects.models import FactEntry
from coordination.projects.queries import open_change, standing_facts, statements, tasks
from coordination.projects.refusals import ChangeGone, FactsRefused, NotAQuestion
from coordination.projects.sentences import SENTENCES
from coordination.projects.stating import facts_of, stated_facts
from coordination.record.queries import length_and_head
from coordination.siteprep.facts import Facts, Fault
from coordination.web.addresses import address_of
from coordination.web.forms.facts import FactEntries
from coordination.web.guards import guard
from coordination.web.previews import confirmed, preview
from coordination.web.shapes.asked import asked_of
from coordination.web.shapes.changes import change_words
from coordination.web.shapes.fact_rows import fact_groups, fact_row, fact_words
from coordination.web.shapes.rework_lines import rework_lines
from coordination.web.shapes.said_since import said_since
from coordination.web.shapes.what_if import gates_of, move_lines, summary


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, project: UUID) -> HttpResponse:
    """Every site fact in the groups of the catalogue; entered by those who may, read by the others."""
    if request.method == "POST":
        return _enter(request, guard(request, project, "change facts"))
    return _facts(request, guard(request, project, "see the project"))


def _enter(request: HttpRequest, visitor: Visitor) -> HttpResponse:
    site = visitor.project
    seen = _number(request.POST.get("seen", ""))
    sent = FactEntries(_rows(visitor), request.POST, _shown(visitor, seen))
    entries = sent.entries()
    overtaken = FactEntry.objects.filter(project=site, key__in=entries, event__seq__gt=seen)
    sent.refuse_overtaken(sorted(set(overtaken.values_list("key", flat=True))))
    if sent.errors:
        return _facts(request, visitor, sent)
    try:
        if not confirmed(request) and (effect := _effect(request, visitor, entries)):
            return effect
        change = enter_facts(site, visitor, timezone.now(), entries)
    except FactsRefused as refusal:
        sent.refuse(refusal.reasons)
        return _facts(request, visitor, sent)
    number = len(entries)
    told = ngettext("%(number)s fact entered.", "%(number)s facts entered.", number) % {"number": number}
    messages.success(request, told if number else _("Nothing was changed."))
    if number and change is not None:
        return redirect("change", site.uid) if address_of("change", site.uid) else redirect("facts", site.uid)
    return redirect("facts", site.uid)


def _effect(request: HttpRequest, visitor: Visitor, entries: Mapping[str, FactInput]) -> HttpResponse | None:
    """What facts of the calendar would do to gates and visits: they move days as soon as they are entered.

    What the other facts do shows on the page of the change, before that is accepted. Raises FactsRefused.
    """
    site, standing = visitor.project, standing_facts(visitor.project)
    said, _whole = stated_facts(standing, entries, visitor.name)
    days = [key for key in FACTS if key in entries and said[key].value != standing.value(key)]
    if not days:
        return None
    supposed = Supposed(facts={key: as_stored(said[key].value) for key in days})
    return preview(
        request,
        site,
        what_if(site, local_day(site, timezone.now()), supposed),
        told=fact_words(days, standing, said),
        notes=[_("Facts that bring another plan are laid beside it and accepted on a page of their own.")],
        back=reverse("facts", args=[site.uid]),
    )


def _facts(request: HttpRequest, visitor: Visitor, sent: FactEntries | None = None) -> HttpResponse:
    site = visitor.project
    facts = standing_facts(site)
    groups = fact_groups(sent or _rows(visitor), facts, request.GET.get("open", ""))
    context = {
        "groups": groups,
        "unknown": sum(group.unknown for group in groups),
        "form": sent,
        "seen": length_and_head(site.stream)[0],
        "may_change": may(visitor, "change facts"),
        "change": open_change(site),
        "change_href": address_of("change", site.uid),
    }
    return render(request, "facts/edit.html", context, status=422 if sent else 200)


def _rows(visitor: Visitor) -> list:  # type: ignore[type-arg]
    said = statements(visitor.project)
    units = next((each.fact.value for each in said if each.definition.key == "job.units"), None)
    return [fact_row(statement, str(units)) for statement in said]


def _shown(visitor: Visitor, seen: int) -> Facts:
    """The facts as they stood when the record had ``seen`` decisions."""
    entries = FactEntry.objects.filter(project=visitor.project, event__seq__lte=seen).order_by("seq")
    return facts_of(visitor.project, {entry.key: entry for entry in entries})


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 10 else 0


@require_http_methods(["GET", "HEAD", "POST"])
def questions(request: HttpRequest, project: UUID) -> HttpResponse:
    """Open questions by the day on which each must be settled; answered by those who may."""
    if request.method == "POST":
        return _answer(request, guard(request, project, "answer a question"))
    return _questions(request, guard(request, project, "see the project"))


def _answer(request: HttpRequest, visitor: Visitor) -> HttpResponse:
    fact = request.POST.get("fact", "")
    rows = [fact_row(each, "us") for each in statements(visitor.project) if each.definition.key == fact]
    sent = FactEntries(rows, request.POST, {})
    answer = sent.entries().get(fact)
    if answer is None or answer.typed is None:
        sent.refuse([Fault(fact, "value-missing", {"state": "known"})])
        return _questions(request, visitor, sent)
    try:
        answer_question(visitor.project, visitor, timezone.now(), fact, answer)
    except FactsRefused as refusal:
        sent.refuse(refusal.reasons)
        return _questions(request, visitor, sent)
    except NotAQuestion as refusal:
        sent.non_field_errors += [sentence(reason, SENTENCES) for reason in refusal.reasons]
        return _questions(request, visitor, sent)
    messages.success(request, _("The answer was entered."))
    return redirect("questions", visitor.project.uid)


def _questions(request: HttpRequest, visitor: Visitor, sent: FactEntries | None = None) -> HttpResponse:
    site, today = visitor.project, local_day(visitor.project, timezone.now())
    asked = asked_of(site, needed_by(site, today), today)
    for question in asked:
        if sent and question.fact in sent.rows:
            question.row = sent.rows[question.fact]
    context = {
        "asked": asked,
        "form": sent,
        "may_answer": may(visitor, "answer a question"),
        "may_accept": may(visitor, "accept a change of plan"),
        "change": open_change(site),
        "change_href": address_of("change", site.uid),
        "facts_href": address_of("facts", site.uid),
    }
    return render(request, "facts/questions.html", context, status=422 if sent else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, project: UUID) -> HttpResponse:
    """The plan that the facts give beside the one that stands; accepted by the coordinator."""
    if request.method == "POST":
        return _accept(request, guard(request, project, "accept a change of plan"))
    return _change(request, guard(request, project, "see the project"))


def _accept(request: HttpRequest, visitor: Visitor) -> HttpResponse:
    try:
        looked_at = UUID(request.POST.get("change", ""))
    except ValueError:
        raise Http404 from None
    try:
        accept_change(visitor.project, visitor, timezone.now(), looked_at)
    except ChangeGone as refusal:
        reasons = [sentence(reason, SENTENCES) for reason in refusal.reasons]
        return _change(request, visitor, reasons)
    messages.success(request, _("The change was accepted; the plan stands."))
    return redirect("project", visitor.project.uid)


def _change(request: HttpRequest, visitor: Visitor, reasons: list[str] | None = None) -> HttpResponse:
    site, today = visitor.project, local_day(visitor.project, timezone.now())
    standing = open_change(site)
    context = {
        "change": standing,
        "reasons": reasons,
        "may_accept": may(visitor, "accept a change of plan"),
        "facts_href": address_of("facts", site.uid),
    }
    if standing is not None:
        facts = standing_facts(site)
        rows = tasks(site)
        comparison = plan_comparison(site, standing.proposed, today)
        context |= {
            "words": change_words(standing, rows, facts.units),
            "rework": rework_lines(standing, rows),
            "said": said_since(site, facts.units),
            "moves": move_lines(comparison, gates_of(standing.standing, standing.proposed)),
            "summary": "" if standing.is_first else summary(comparison),
        }
    return render(request, "facts/change.html", context, status=422 if reasons else 200)
