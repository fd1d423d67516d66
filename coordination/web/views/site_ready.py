"""The site-ready statement of a booked visit: read on one page, signed by the contractor, taken along as PDF."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from coordination.access.permissions import may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.dates.visiting import WORK
from coordination.gates.actions import sign_site_ready
from coordination.gates.visits import FRESH_DAYS, newest_statement
from coordination.handover.papers_wanted import usual_paper
from coordination.web.forms.visits import StatementForm
from coordination.web.guards import guard
from coordination.web.missing import missing_lines
from coordination.web.refused import refusal_context
from coordination.web.shapes.papers import density_for, paper
from coordination.web.shapes.site_ready import Statement, signed_words, statement_of
from coordination.web.shapes.trade_papers import file_name
from coordination.web.shapes.visit_page import VisitPage
from coordination.web.texts import language_read
from coordination.web.views.handover import SANDBOX
from coordination.web.views.visits import booking_of, page_of

SHOWN = 8


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, project: UUID, visit: str) -> HttpResponse:
    """The statement as it reads now; POST signs it."""
    if visit not in WORK:
        raise Http404
    if request.method != "POST":
        return _page(request, guard(request, project, "see the project"), visit)
    visitor = guard(request, project, "sign the site-ready statement")
    form = StatementForm(request.POST)
    uid = booking_of(request, visitor, visit)
    if not form.is_valid():
        return _page(request, visitor, visit, form=form)
    told = form.cleaned_data
    seen = {"seen_digest": told["digest"], "seen_charge": told["charge"]}
    try:
        sign_site_ready(visitor.project, visitor, timezone.now(), uid, words=told["words"], **seen)
    except Refusal as refusal:
        return _page(request, visitor, visit, refused=refusal_context(refusal, visitor, timezone.now()))
    messages.success(request, _("Signed; it is in the record."))
    return redirect("site-ready", project, visit)


@require_safe
@never_cache
def download(request: HttpRequest, project: UUID, visit: str) -> HttpResponse:
    """The statement as PDF, on one page: with the signature where it counts, else with lines to sign on."""
    if visit not in WORK:
        raise Http404
    visitor = guard(request, project, "see the project")
    page = page_of(visitor, visit)
    if page.booked is None:
        raise Http404
    statement, signed = statement_of(page, page.booked), newest_statement(page.booked)
    line = page.statement(signed)
    title = _("Site-ready statement: %(visit)s") % {"visit": page.name}
    context = {
        "statement": statement,
        "missing": len(statement.proof.missing),
        "signed": signed_words(signed) if signed and line.state == "accepted" else "",
        "words": signed.words if signed and line.state == "accepted" else statement.sentence,
        "void": line.why,
        "size": usual_paper(visitor.project.code_set),
        "project": visitor.project,
        "heading": title,
        "fresh": FRESH_DAYS,
    }
    lines = 26 + sum(1 + len(each.proof) // 70 for each in statement.lines)
    made = paper(
        "paper/site_ready.html",
        context,
        {},
        title=title,
        language=language_read(),
        made_at=timezone.now(),
        begin=density_for(lines),
    )
    response = HttpResponse(made, content_type="application/pdf")
    name = file_name(visitor.project.name, "site-ready", visit)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Content-Security-Policy"] = SANDBOX
    return response


def _page(
    request: HttpRequest,
    visitor: Visitor,
    visit: str,
    *,
    form: StatementForm | None = None,
    refused: dict[str, Any] | None = None,
) -> HttpResponse:
    page = page_of(visitor, visit)
    context: dict[str, Any] = {"page": page, "form": form, "refused": refused, "fresh": FRESH_DAYS}
    if page.booked is not None:
        context |= _statement(page, visitor, form)
    return render(request, "visits/site_ready.html", context, status=422 if form or refused else 200)


def _statement(page: VisitPage, visitor: Visitor, form: StatementForm | None) -> dict[str, Any]:
    assert page.booked is not None  # noqa: S101 - the caller has looked
    statement, signed = statement_of(page, page.booked), newest_statement(page.booked)
    line = page.statement(signed)
    signs = may(visitor, "sign the site-ready statement") and line.state != "accepted"
    missing = statement.proof.missing
    return {
        "statement": statement,
        "line": line,
        "signed": signed,
        "signed_words": signed_words(signed) if signed else "",
        "cautions": statement.cautions,
        "missing_lines": missing_lines(missing[:SHOWN], page.scene.holding),
        "more_missing": max(0, len(missing) - SHOWN),
        "signs": signs,
        "sign_form": (form or _form(statement)) if signs and not missing else None,
    }


def _form(statement: Statement) -> StatementForm:
    told = {"digest": statement.digest, "charge": statement.charge_cents}
    return StatementForm(initial={"words": f"{statement.sentence} {statement.charge}", **told})
