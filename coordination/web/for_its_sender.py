"""A view that takes what a phone sends from its own store, from its sender only."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible, Refusal
from coordination.access.visitors import Visitor
from coordination.gates.queries import look_at
from coordination.readiness import Missing
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.senders import sender_of
from coordination.web.shapes.task_sheets import missing_for

View = Callable[..., HttpResponse]


def for_its_sender(view: View) -> View:
    """Answer whoever the phone says is sending; what anybody else left there is held, never taken."""

    @wraps(view)
    def answer(request: HttpRequest, project: UUID, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            visitor = guard(request, project)
        except Http404:
            return held()
        if sender_of(visitor) != request.headers.get("Sender"):
            return held()
        try:
            return view(request, visitor, *args, **kwargs)
        except (Http404, NotVisible, NotAllowed):
            return refused(_("This work is not yours any more, or it left the plan. Ask the coordinator."))
        except Refusal as refusal:
            return refused(*in_words(refusal), *_missing(refusal, visitor))

    return answer


def held() -> JsonResponse:
    """It stays on the phone until its sender comes in again."""
    return JsonResponse({"state": "held"}, status=409)


def again(status: int) -> JsonResponse:
    """The phone sends it once more, a little later."""
    return JsonResponse({"state": "again"}, status=status)


def refused(*reasons: str) -> JsonResponse:
    return JsonResponse({"state": "refused", "reasons": list(reasons)}, status=422)


def _missing(refusal: Refusal, visitor: Visitor) -> list[str]:
    """What is missing, with who owes it."""
    missing = [reason for reason in refusal.reasons if isinstance(reason, Missing)]
    if not missing:
        return []
    lines = missing_for(visitor, look_at(visitor.project, timezone.now()), missing)
    return [f"{line.sentence} ({line.owner})" if line.owner else line.sentence for line in lines]
