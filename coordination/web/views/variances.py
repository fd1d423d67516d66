"""An authority's variance for what nobody on the site may let go: the form for it, and its scan."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from coordination.access.permissions import may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.evidence.arrivals import take_in
from coordination.gates.actions import attach_variance
from coordination.gates.actions.varying import VERB, VariancePaper
from coordination.gates.models import Variance
from coordination.gates.queries import Scene, look_at
from coordination.gates.sentences import authority_words, of_requirement, of_task
from coordination.projects.models import Requirement
from coordination.web.forms.variances import VarianceForm
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.scopes import scope_of
from coordination.web.uploads import takes_files
from coordination.web.views.media import original_of
from coordination.web.views.task_pages import seen_task


@takes_files
@require_http_methods(["GET", "HEAD", "POST"])
def attach(request: HttpRequest, project: UUID, requirement: UUID) -> HttpResponse:
    """The form for the authority's document; sent whole, the variance stands at once."""
    visitor = guard(request, project, VERB)
    scene = look_at(visitor.project, timezone.now())
    row = scene.requirement(requirement)
    if row.release or row.concede:
        raise Http404
    choices = [(str(each.uid), authority_words(each.kind, each.name)) for each in scene.holding.authorities]
    if request.method != "POST":
        return _page(request, scene, row, VarianceForm(authorities=choices))
    form = VarianceForm(request.POST, request.FILES, authorities=choices)
    if not form.is_valid():
        return _page(request, scene, row, form, status=422)
    try:
        _attach(visitor, requirement, form)
    except Refusal as refusal:
        return _page(request, scene, row, form, reasons=in_words(refusal), status=422)
    messages.success(request, _("The variance is in the record, with its scan."))
    return redirect(_way_back(scene, row))


@require_safe
def scan(request: HttpRequest, concession: UUID) -> HttpResponse:
    """The paper as it came, for whoever may see the task; a photo of it may say more than the paper."""
    rows = Variance.objects.select_related("blob", "concession__requirement__task__project")
    row = rows.filter(concession__uid=concession).first()
    if row is None:
        raise Http404
    task = row.concession.requirement.task
    visitor = guard(request, task.project.uid)
    if not may(visitor, "see a task", scope_of(task)):
        raise Http404
    return original_of(request, task, row.blob, row.file_name)


def _attach(visitor: Visitor, requirement: UUID, form: VarianceForm) -> None:
    told = form.cleaned_data
    name = told["document"].name or ""
    paper = VariancePaper(
        authority=UUID(told["authority"]),
        number=told["number"],
        dated=told["dated"],
        blob=take_in(visitor.project, told["document"], kind="document", file_name=name).blob,
        reason=told["reason"],
        scope=told["scope"],
        file_name=name,
        expires_on=told["expires_on"],
    )
    attach_variance(visitor.project, visitor, timezone.now(), requirement, paper)


def _way_back(scene: Scene, row: Requirement) -> str:
    task = scene.holding.task[row.task_id]
    return f"{reverse('task', args=[scene.holding.project.uid, task.uid])}#need-{row.uid}"


def _page(
    request: HttpRequest,
    scene: Scene,
    row: Requirement,
    form: VarianceForm,
    *,
    reasons: list[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    visitor = request.visitor  # type: ignore[attr-defined]
    task = seen_task(visitor, scene, scene.holding.task[row.task_id].uid)
    context = {
        "form": form,
        "reasons": reasons or (),
        "what": capfirst(of_requirement(row)),
        "task": of_task(task),
        "task_href": _way_back(scene, row),
        "has_authorities": bool(scene.holding.authorities),
        "choose_again": status != 200 and "document" in request.FILES,
    }
    return render(request, "tasks/variance.html", context, status=status)
