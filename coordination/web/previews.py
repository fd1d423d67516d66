"""The effect of a change on gates and visits, shown before it is saved.

The page carries what was sent; pressing its button sends it again with a word that it is meant. It works without
script, and until then nothing is stored.
"""

from collections.abc import Mapping, Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from coordination.access.models import Project
from coordination.dates.what_if import Comparison
from coordination.projects.models import Task
from coordination.web.shapes.what_if import move_lines, summary
from coordination.web.texts import said

CONFIRMED = "confirmed"
LEFT_OUT = ("csrfmiddlewaretoken", CONFIRMED)


def confirmed(request: HttpRequest) -> bool:
    """Whether whoever sent it has seen the effect and means it."""
    return request.POST.get(CONFIRMED) == "yes"


def preview(
    request: HttpRequest,
    project: Project,
    comparison: Comparison | None,
    *,
    told: Sequence[str],
    back: str,
    notes: Sequence[str] = (),
    names: Mapping[str, str] | None = None,
) -> HttpResponse:
    """The page with the effect. ``told`` says what changes, ``back`` is where to go without it.

    ``names`` are those of gates that do not stand yet.

    Without ``comparison`` there are no dates that could move, and the page says so.
    """
    sent = request.POST.lists()
    context = {
        "told": told,
        "notes": notes,
        "moves": move_lines(comparison, {**gate_names(project), **(names or {})}) if comparison else [],
        "summary": summary(comparison) if comparison else "",
        "alters": bool(comparison and comparison.alters),
        "sent": [(name, value) for name, values in sent if name not in LEFT_OUT for value in values],
        "address": request.get_full_path(),
        "back": back,
    }
    return render(request, "dates/what_if.html", context)


def gate_names(project: Project) -> dict[str, str]:
    """The name of each standing gate by its key."""
    rows = Task.objects.filter(project=project, is_gate=True, retired_in__isnull=True)
    return {row.derived["milestone_of"]: said(row.derived["text"]) for row in rows}
