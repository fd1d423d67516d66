"""A new site, set up by a coordinator of the supplier."""

import uuid
from zoneinfo import available_timezones

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.access.models import Company
from coordination.access.refusals import CannotBeSo
from coordination.projects.refusals import FactsRefused
from coordination.web.forms.base import SheetForm
from coordination.web.forms.new_site import JobFileForm, SiteForm
from coordination.web.guards import person_of
from coordination.web.refused import in_words
from coordination.web.views.setting_up import (
    CannotBeRead,
    NewSite,
    by_hand,
    from_job_file,
    models_on_file,
    set_up,
    suppliers_of,
)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def new(request: HttpRequest) -> HttpResponse:
    """By hand, or from a job file; then the form of its facts."""
    person = person_of(request)
    companies = suppliers_of(person) if person else {}
    if person is None or not companies:
        raise Http404
    if request.method != "POST":
        return _page(request, companies)
    form = _sent(request, companies)
    if not form.is_valid():
        return _page(request, companies, form)
    company = companies[form.cleaned_data.get("company") or next(iter(companies))]
    try:
        project = set_up(person, company, _wanted(form), timezone.now())
    except CannotBeRead as fault:
        return _page(request, companies, form, list(fault.sentences))
    except FactsRefused as refusal:
        language = (get_language() or "en")[:2]
        wrong = ["{}: {}; {}".format(fault.fact, *fault.says(language)) for fault in refusal.reasons]
        return _page(request, companies, form, wrong)
    except CannotBeSo as refusal:
        return _page(request, companies, form, in_words(refusal))
    messages.success(request, _("The site was set up. State what is known; leave unknown what is not."))
    return redirect("facts", project.uid)


def _wanted(form: SheetForm) -> NewSite:
    told = form.cleaned_data
    return (
        from_job_file(told["uid"], told["job"], told["sheet"])
        if isinstance(form, JobFileForm)
        else by_hand(told)
    )


def _sent(request: HttpRequest, companies: dict[str, Company]) -> SheetForm:
    listed = [(uid, company.name) for uid, company in companies.items()]
    if request.POST.get("doing") == "file":
        return JobFileForm(request.POST, request.FILES, companies=listed, auto_id="id_file_%s")
    return SiteForm(request.POST, request.FILES, companies=listed, models=models_on_file().items())


def _page(
    request: HttpRequest,
    companies: dict[str, Company],
    sent: SheetForm | None = None,
    reasons: list[str] | None = None,
) -> HttpResponse:
    listed = [(uid, company.name) for uid, company in companies.items()]
    start = {"uid": uuid.uuid4(), "code_set": "us"}
    by_file = isinstance(sent, JobFileForm)
    context = {
        "form": sent,
        "reasons": reasons,
        "by_file": by_file,
        "hand": sent
        if sent and not by_file
        else SiteForm(initial=start, companies=listed, models=models_on_file().items()),
        "file": sent
        if by_file
        else JobFileForm(initial={"uid": uuid.uuid4()}, companies=listed, auto_id="id_file_%s"),
        "zones": sorted(
            zone for zone in available_timezones() if "/" in zone and not zone.startswith("Etc/")
        ),
    }
    return render(request, "sites/new.html", context, status=422 if sent else 200)
