"""The final list: what is there, what is missing and who owes it; written down by those who may."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from coordination.access.permissions import may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.evidence.arrivals import take_in
from coordination.handover.final_list import FinalLine
from coordination.handover.final_words import FinalWords, final_order
from coordination.handover.list_words import say_of_item
from coordination.handover.papers_wanted import usual_paper
from coordination.handover.sheet_paper import pdf_of, reader_of
from coordination.handover.whole import Whole, whole_of, without_telephones
from coordination.web.forms.final_list import ItemForm
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.trade_papers import file_name
from coordination.web.texts import language_read
from coordination.web.uploads import left_out, takes_files
from coordination.web.views.papers import pdf_answer

SAYS = "fill the final list"


@require_safe
@never_cache
def show(request: HttpRequest, project: UUID) -> HttpResponse:
    """Each item with how it stands."""
    return _page(request, guard(request, project, "read the papers"))


@require_safe
@never_cache
def download(request: HttpRequest, project: UUID) -> HttpResponse:
    """The same on paper."""
    visitor = guard(request, project, "read the papers")
    site = visitor.project
    order = final_order(_whole(visitor), language=language_read(), paper=usual_paper(site.code_set))
    return pdf_answer(pdf_of(order), file_name(site.name, "final-list"))


@require_POST
@takes_files
def say(request: HttpRequest, project: UUID, item: str) -> HttpResponse:
    """Write down where an item is, or why it is not needed."""
    visitor = guard(request, project, SAYS)
    line = _final(visitor).lines.get(item)
    if line is None or not line.asks:
        raise Http404
    form = _form(line, request)
    too_large = left_out(request)
    if too_large or not form.is_valid():
        return _page(request, visitor, form=form, item=item, reasons=too_large, status=422)
    told, file = form.cleaned_data, form.cleaned_data.get("file")
    try:
        arrived = take_in(visitor.project, file, kind="document", file_name=file.name) if file else None
        say_of_item(
            visitor.project,
            visitor,
            timezone.now(),
            item=item,
            state=told["state"],
            words=told["words"],
            day=told.get("day"),
            file=arrived,
            file_name=file.name if file else "",
        )
    except Refusal as refusal:
        return _page(request, visitor, form=form, item=item, reasons=in_words(refusal), status=422)
    messages.success(request, _("Written down; it is in the record."))
    return redirect(reverse("final-list", args=[project]) + f"#item-{item}")


def _page(
    request: HttpRequest,
    visitor: Visitor,
    *,
    form: ItemForm | None = None,
    item: str = "",
    status: int = 200,
    **context: object,
) -> HttpResponse:
    final = _final(visitor)
    says = may(visitor, SAYS)

    def form_of(line: FinalLine) -> ItemForm | None:
        if form is not None and line.key == item:
            return form
        return _form(line) if says and line.asks else None

    sections = [(section, [(line, form_of(line)) for line in section.lines]) for section in final.sections]
    context |= {"final": final, "sections": sections, "form": form, "opened": item}
    return render(request, "papers/final_list.html", context, status=status)


def _form(line: FinalLine, request: HttpRequest | None = None) -> ItemForm:
    asked = {"asks": line.asks, "asks_day": line.asks_day, "auto_id": f"{line.key}-%s"}
    if request is not None:
        return ItemForm(request.POST, request.FILES, **asked)
    return ItemForm(initial={"words": line.said, "state": "present"}, **asked)


def _final(visitor: Visitor) -> FinalWords:
    whole = _whole(visitor)
    return FinalWords(whole, reader_of(whole, language_read()))


def _whole(visitor: Visitor) -> Whole:
    whole = whole_of(visitor.project, timezone.now())
    return whole if may(visitor, "see phone numbers") else without_telephones(whole)
