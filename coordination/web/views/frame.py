"""Pages of the frame itself: help, and every component in every state for whoever builds on them."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from coordination.web import specimens
from coordination.web.legend import LEGEND


@require_GET
def help_page(request: HttpRequest) -> HttpResponse:
    return render(request, "frame/help.html", {"lines": LEGEND})


@require_GET
def components(request: HttpRequest) -> HttpResponse:
    """Every component in every state; only where debugging is on."""
    if not settings.DEBUG:
        raise Http404
    return render(request, "frame/components.html", specimens.everything())
