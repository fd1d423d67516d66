"""The language that a reader chooses: for this browser, and for whatever is sent to them from then on."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST
from django.views.i18n import set_language

from coordination.access import actions
from coordination.web.guards import opened_links, person_of


@require_POST
def choose(request: HttpRequest) -> HttpResponse:
    """Read on in the language that was pressed, on the page where it was pressed."""
    chosen = request.POST.get("language", "")
    if chosen in dict(settings.LANGUAGES):
        actions.choose_language(person_of(request), opened_links(request), chosen)
    return set_language(request)
