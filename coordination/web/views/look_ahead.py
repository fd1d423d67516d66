"""The next three weeks of each trade: on a screen, on a sheet to print, and as PDF with a page for each trade."""

from collections.abc import Sequence
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from coordination.access.permissions import may
from coordination.web.guards import guard
from coordination.web.languages import reading_in, wanted_in
from coordination.web.senders import kept_on_the_phone
from coordination.web.shapes.look_ahead_lines import LookAhead, TradeAhead
from coordination.web.shapes.look_ahead_papers import look_ahead_paper
from coordination.web.shapes.trade_papers import file_name
from coordination.web.views.handover import SANDBOX

VERBS = ("see the project", "see own tasks")


@require_safe
@never_cache
@kept_on_the_phone
def show(request: HttpRequest, project: UUID) -> HttpResponse:
    """Every trade that the visitor may see; ``?trade=`` shows one."""
    looking, trades = _looking(request, project)
    wanted = request.GET.get("trade", "")
    context = {
        "looking": looking,
        "trades": [trade for trade in trades if wanted in ("", trade.slug)],
        "all_trades": trades,
        "wanted": wanted,
        "may_take_along": may(looking.visitor, "take dates along"),
        "may_send": may(looking.visitor, "send a link"),
    }
    return render(request, "look_ahead/show.html", context)


@require_safe
@never_cache
def download_all(request: HttpRequest, project: UUID) -> HttpResponse:
    """A page for each trade; ``?language=`` for crews that read another language than whoever prints it."""
    with reading_in(wanted_in(request)):
        looking, trades = _looking(request, project)
        return _pdf(looking, trades, file_name(looking.project.name, "three-weeks"))


@require_safe
@never_cache
def download(request: HttpRequest, project: UUID, trade: str) -> HttpResponse:
    """One trade on one page; ``?language=`` as for all."""
    with reading_in(wanted_in(request)):
        looking, trades = _looking(request, project)
        chosen = [each for each in trades if each.slug == trade]
        return _pdf(looking, chosen, file_name(looking.project.name, trade, "three-weeks"))


def _looking(request: HttpRequest, project: UUID) -> tuple[LookAhead, list[TradeAhead]]:
    looking = LookAhead(guard(request, project, *VERBS), timezone.now())
    return looking, looking.trades()


def _pdf(looking: LookAhead, chosen: Sequence[TradeAhead], name: str) -> HttpResponse:
    """Http404 where the visitor may see no such trade, or it has no work in the three weeks."""
    if not chosen:
        raise Http404
    response = HttpResponse(look_ahead_paper(looking, chosen, timezone.now()), content_type="application/pdf")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Content-Security-Policy"] = SANDBOX
    return response
