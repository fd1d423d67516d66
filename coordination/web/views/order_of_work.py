"""What becomes of work begun before its turn."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coordination.dates.order_of_work import set_order_of_work
from coordination.web.guards import guard


@require_POST
def set_order(request: HttpRequest, project: UUID) -> HttpResponse:
    """Keep the planned order, or let begun work go on."""
    visitor = guard(request, project, "set a date")
    set_order_of_work(visitor.project, visitor, timezone.now(), request.POST.get("order", ""))
    messages.success(request, _("The dates were reckoned again in this order of work."))
    return redirect(f"{reverse('dates', args=[project])}#order")
