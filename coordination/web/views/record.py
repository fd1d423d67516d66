"""The record: everything that was decided, in plain words, newest first."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from coordination.projects.queries import standing_facts
from coordination.record.queries import decisions, length_and_head
from coordination.web.guards import guard
from coordination.web.shapes.record_lines import Naming
from coordination.web.shapes.standing_still import standing_still
from coordination.web.unchanged import unchanged

PAGE = 40


@unchanged
@require_GET
def show(request: HttpRequest, project: UUID) -> HttpResponse:
    """One page of decisions; ``?until=`` names the last one on it."""
    site = guard(request, project, "read the record").project
    length, head = length_and_head(site.stream)
    until = _number(request.GET.get("until", ""), length)
    after = max(0, until - PAGE)
    found = decisions(site.stream, after=after, most=until - after)
    naming = Naming(site, standing_facts(site).definitions)
    context = {
        "lines": list(reversed(naming.lines(found))),
        "length": length,
        "head": head,
        "stream": site.stream,
        "command": "python manage.py verify_record",
        "older": after or None,
        "still": standing_still(site),
        "newer": min(length, until + PAGE) if until < length else None,
    }
    return render(request, "record/show.html", context)


def _number(text: str, most: int) -> int:
    return min(int(text), most) if text.isdecimal() and len(text) < 10 else most
