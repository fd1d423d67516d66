"""Where the site is: said on purpose, so that senders may have their photos compared with it."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.projects.actions import say_where_it_is
from coordination.projects.queries import site_position
from coordination.web.forms.position import PositionForm
from coordination.web.guards import guard


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, project: UUID) -> HttpResponse:
    """The position that stands, and a form for another; ``take-back`` drops it."""
    visitor = guard(request, project, "change facts")
    standing = site_position(visitor.project)
    if request.method != "POST":
        shown = dict(zip(("latitude", "longitude"), standing, strict=True)) if standing else {}
        return render(
            request, "facts/position.html", {"form": PositionForm(initial=shown), "standing": standing}
        )
    if "take-back" in request.POST:
        say_where_it_is(visitor.project, visitor, timezone.now(), None)
        messages.success(request, _("Taken back. No photo is compared with the site any more."))
        return redirect("site-position", project)
    form = PositionForm(request.POST)
    if not form.is_valid():
        return render(request, "facts/position.html", {"form": form, "standing": standing}, status=422)
    told = form.cleaned_data
    say_where_it_is(visitor.project, visitor, timezone.now(), (told["latitude"], told["longitude"]))
    messages.success(
        request, _("Kept. Whoever hands in a photo may now have its place compared with the site.")
    )
    return redirect("site-position", project)
