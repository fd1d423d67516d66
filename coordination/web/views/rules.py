"""Rules of the place or of a company besides the catalogue: laid down, read, taken from another site, withdrawn."""

from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from coordination.access.permissions import may
from coordination.access.sentences import sentence
from coordination.access.visitors import Visitor
from coordination.projects.actions import lay_down_rules, withdraw_rules
from coordination.projects.local_rules import rules_elsewhere, rules_in_force
from coordination.projects.models import PlanChange
from coordination.projects.queries import open_change
from coordination.projects.refusals import RulesRefused
from coordination.projects.sentences import SENTENCES
from coordination.web.forms.rules import RulesForm
from coordination.web.guards import guard
from coordination.web.shapes.rule_lines import rule_lines

EXAMPLE = settings.BASE_DIR / "fixtures" / "rules" / "harbor-town.toml"


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """The rules in force and what they bring; ``doing`` says whether some are laid down, taken over or withdrawn."""
    if request.method != "POST":
        return _page(request, guard(request, project, "see the project"))
    visitor = guard(request, project, "change facts")
    doing = request.POST.get("doing", "")
    form = RulesForm(request.POST, request.FILES) if doing == "lay" else RulesForm()
    if doing == "lay" and not form.is_valid():
        return _page(request, visitor, form)
    try:
        change = _do(visitor, doing, request.POST.get("rules", ""), form)
    except RulesRefused as refusal:
        return _page(request, visitor, form, [sentence(reason, SENTENCES) for reason in refusal.reasons])
    messages.success(request, _told(doing, change))
    return redirect("change" if change else "rules", project)


@require_safe
def download(request: HttpRequest, project: UUID, name: str) -> HttpResponse:
    """Rules in force as they were sent."""
    visitor = guard(request, project, "see the project")
    for rules in rules_in_force(visitor.project):
        if rules.name == name:
            return _file(rules.text, name)
    raise Http404


@require_safe
def example(request: HttpRequest, project: UUID) -> HttpResponse:
    """Rules of an invented town, to begin from."""
    guard(request, project, "see the project")
    return _file(EXAMPLE.read_text(encoding="utf-8"), EXAMPLE.stem)


def _do(visitor: Visitor, doing: str, chosen: str, form: RulesForm) -> PlanChange | None:
    site, at = visitor.project, timezone.now()
    if doing == "lay":
        return lay_down_rules(site, visitor, at, form.cleaned_data["name"], form.cleaned_data["file"])
    if doing == "withdraw":
        return withdraw_rules(site, visitor, at, chosen)
    for rules in rules_elsewhere(site):
        if doing == "take over" and rules.sha256 == chosen:
            return lay_down_rules(site, visitor, at, rules.name, rules.text)
    raise Http404


def _told(doing: str, change: PlanChange | None) -> str:
    if change is None:
        return _("The plan stays as it is.")
    if doing == "withdraw":
        return _("The rules were withdrawn. This is what the plan would be without them.")
    return _("The rules are in force. This is what the plan would be with them.")


def _file(text: str, name: str) -> HttpResponse:
    answer = HttpResponse(text, content_type="text/plain; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}.toml"'
    return answer


def _page(
    request: HttpRequest, visitor: Visitor, form: RulesForm | None = None, reasons: list[str] | None = None
) -> HttpResponse:
    site = visitor.project
    may_change = may(visitor, "change facts")
    context: dict[str, Any] = {
        "rules": rule_lines(rules_in_force(site), site.code_set),
        "elsewhere": rules_elsewhere(site) if may_change else [],
        "form": form or RulesForm(),
        "reasons": reasons,
        "may_change": may_change,
        "change": open_change(site),
    }
    wrong = bool(reasons or (form and form.errors))
    return render(request, "rules/index.html", context, status=422 if wrong else 200)
