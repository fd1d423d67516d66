"""The contractor's own days: out as a table, in again with what it would alter shown first; a package's day at once."""

import base64
import binascii
from datetime import date
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coordination.access.permissions import may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.dates.done_by import (
    DayChange,
    changes_in,
    check_package_day,
    digest_of,
    effect_of,
    package_days,
    set_package_day,
    take_days,
)
from coordination.dates.done_by_file import MOST_BYTES, FileRefused, write_days
from coordination.dates.queries import schedule_of
from coordination.dates.refusals import DaysMoved
from coordination.dates.what_if import Supposed, what_if
from coordination.gates.calendars import local_day
from coordination.projects.queries import packages
from coordination.projects.refusals import DatesRefused
from coordination.scheduling.calendars import OutOfHorizon
from coordination.web.forms.days import PackageDayForm
from coordination.web.guards import guard
from coordination.web.previews import confirmed, preview
from coordination.web.refused import in_words
from coordination.web.shapes.done_by_lines import (
    behind_lines,
    change_lines,
    day_change_words,
    effect_lines,
    names_of,
    table_rows,
)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def show(request: HttpRequest, project: UUID) -> HttpResponse:
    """How it goes, the download, and the form; a file that is sent is shown and not stored."""
    if request.method != "POST":
        return _page(request, guard(request, project, "see the project"))
    visitor = guard(request, project, "set a date")
    file = request.FILES.get("file")
    if file is None:
        return _page(request, visitor, [_("Choose the file that was filled in.")])
    return _preview(request, visitor, file.read(MOST_BYTES + 1), file.name or "")


@require_safe
@never_cache
def download(request: HttpRequest, project: UUID) -> HttpResponse:
    """Packages and tasks with their keys, names and days."""
    site = guard(request, project, "see the project").project
    dated = schedule_of(site, local_day(site, timezone.now()))
    response = HttpResponse(write_days(table_rows(site, dated)), content_type="text/csv; charset=utf-8")
    name = slugify(site.name) or "site"
    response.headers["Content-Disposition"] = f'attachment; filename="{name}-days.csv"'
    return response


@require_POST
def confirm(request: HttpRequest, project: UUID) -> HttpResponse:
    """Set what was shown: all of it, or nothing where something has changed since."""
    visitor = guard(request, project, "set a date")
    name = request.POST.get("name", "")[:120]
    try:
        content = base64.b64decode(request.POST.get("content", ""), validate=True)
    except (binascii.Error, ValueError):
        return _page(request, visitor, [_("Choose the file that was filled in.")])
    try:
        shown = request.POST.get("shown", "")
        changes = take_days(visitor.project, visitor, timezone.now(), content, shown=shown, file_name=name)
    except DaysMoved as refusal:
        return _preview(request, visitor, content, name, in_words(refusal))
    except FileRefused as refusal:
        return _page(request, visitor, in_words(refusal))
    number = len(changes)
    words = ngettext("%(number)s day was set.", "%(number)s days were set.", number) % {"number": number}
    messages.success(request, words)
    return redirect("done-by", project)


@require_POST
def set_package(request: HttpRequest, project: UUID, package: str) -> HttpResponse:
    """The day by which a whole package is to be done; an empty one takes it back."""
    visitor = guard(request, project, "set a date")
    form = PackageDayForm(request.POST)
    if not form.is_valid():
        return _page(request, visitor, [str(each) for errors in form.errors.values() for each in errors])
    day = form.cleaned_data["done_by"]
    try:
        check_package_day(day)
        if not confirmed(request):
            return _effect(request, visitor, package, day)
        set_package_day(visitor.project, visitor, timezone.now(), package, day)
    except DatesRefused as refusal:
        return _page(request, visitor, in_words(refusal))
    messages.success(request, _("The day of the package was set."))
    return redirect(_package(project, package))


def _package(project: UUID, package: str) -> str:
    return f"{reverse('packages', args=[project])}?package={package}#{slugify(package)}"


def _effect(request: HttpRequest, visitor: Visitor, package: str, day: date | None) -> HttpResponse:
    """What the day would do: gates and visits side by side, and the work that would end after it."""
    site, listed = visitor.project, packages(visitor.project)
    of_package = next((each for each in listed if each.key == package), None)
    if of_package is None:
        raise Http404
    supposed = Supposed(package_days={package: day})
    comparison = what_if(site, local_day(site, timezone.now()), supposed)
    keys = {task.key for task in of_package.tasks}
    change = DayChange(0, "package", package, "done_by", package_days(site).get(package), day)
    return preview(
        request,
        site,
        comparison,
        told=day_change_words([change], names_of(listed)),
        notes=behind_lines(comparison.then.dated, names_of(listed), keys),
        back=_package(site.uid, package),
    )


def _preview(
    request: HttpRequest, visitor: Visitor, content: bytes, name: str, reasons: list[str] | None = None
) -> HttpResponse:
    """What the file would alter, and what that does to the gates: side by side, nothing stored."""
    site, today = visitor.project, local_day(visitor.project, timezone.now())
    try:
        changes = changes_in(site, content)
        effect = effect_of(site, changes, today)
    except Refusal as refusal:
        return _page(request, visitor, in_words(refusal))
    except OutOfHorizon:
        return _page(
            request, visitor, [_("With these days the work would take longer than can be reckoned.")]
        )
    listed = packages(site)
    names = names_of(listed)
    gates = [task for package in listed for task in package.tasks if task.is_gate]
    context: dict[str, Any] = {
        "file_name": name,
        "content": base64.b64encode(content).decode(),
        "shown": digest_of(changes),
        "changes": change_lines(changes, names),
        "effects": effect_lines(effect, gates, names),
        "late": behind_lines(effect.then, names),
        "reasons": reasons,
    }
    return render(request, "done_by/preview.html", context, status=422 if reasons else 200)


def _page(request: HttpRequest, visitor: Visitor, reasons: list[str] | None = None) -> HttpResponse:
    site = visitor.project
    dated = schedule_of(site, local_day(site, timezone.now()))
    context = {
        "reasons": reasons,
        "may_set": may(visitor, "set a date"),
        "late": behind_lines(dated, names_of(packages(site))),
    }
    return render(request, "done_by/show.html", context, status=422 if reasons else 200)
