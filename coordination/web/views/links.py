"""Links for people without an account: send one, see which stand, take one back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from coordination.access import actions
from coordination.access.queries import CompanyView, LinkView, companies, company_of, links
from coordination.access.refusals import CannotBeSo
from coordination.access.visitors import Visitor
from coordination.web.forms.links import LinkForm
from coordination.web.guards import guard
from coordination.web.languages import own_names, reading_in
from coordination.web.mail import address_of_feed, address_of_link
from coordination.web.refused import in_words
from coordination.web.text_messages import message_words, sms_address
from coordination.web.words import PURPOSES


@dataclass(frozen=True)
class FreshLink:
    """A link just made. Its address is shown this once: only its hash is kept.

    ``unmailed`` is the name of its company where no e-mail address of it is known.
    """

    holder: str
    phone: str
    address: str
    words: str
    language: str
    unmailed: str

    @property
    def message(self) -> str:
        return f"{self.words} {self.address}"

    @property
    def text_message(self) -> str:
        """An address that opens the phone's own messages with the message written."""
        return sms_address(self.phone, self.message)


@dataclass(frozen=True)
class LinkLine:
    """A link that was sent, who came in by it and when, and whether it still opens anything."""

    uid: UUID
    what: str
    holder: str
    phone: str
    language: str
    issued_at: datetime
    expires_at: datetime
    ended: str
    first_opened_at: datetime | None
    last_opened_at: datetime | None
    times_opened: int
    opens_pages: bool


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """All links of the project, and the form for a new one; ``?company=`` fills it in for first contact."""
    visitor = guard(request, project, "send a link")
    known = companies(visitor.project)
    form = LinkForm(request.POST or None, companies=known, initial=_first_contact(request, known))
    if request.method != "POST" or not form.is_valid():
        return _page(request, visitor, form=form, status=422 if form.errors else 200)
    try:
        fresh = _send(visitor, form)
    except CannotBeSo as refusal:
        return _page(request, visitor, form=form, reasons=in_words(refusal), status=422)
    return _page(request, visitor, form=LinkForm(companies=known), fresh=fresh)


@require_POST
def revoke(request: HttpRequest, project: UUID, link: UUID) -> HttpResponse:
    """Take a link back at once."""
    visitor = guard(request, project, "revoke a link")
    actions.revoke_link(visitor.project, visitor, timezone.now(), link)
    messages.success(request, _("The link was taken back; it opens nothing any more."))
    return redirect("links", project)


def _first_contact(request: HttpRequest, known: Iterable[CompanyView]) -> dict[str, str]:
    """What is known of the company that a link is wanted for."""
    wanted = request.GET.get("company", "")
    company = next((each for each in known if str(each.uid) == wanted), None)
    if company is None:
        return {}
    told = {"purpose": "company tasks", "company": str(company.uid), "phone": company.phone}
    return {**told, "holder": company.contact or company.name}


def _send(visitor: Visitor, form: LinkForm) -> FreshLink:
    told = form.cleaned_data
    company = company_of(visitor.project, UUID(told["company"])) if told["company"] else None
    phone = told["phone"] or (company.phone if company else "")
    _link, token = actions.send_link(
        visitor.project,
        visitor,
        timezone.now(),
        purpose=told["purpose"],
        company=company,
        holder=told["holder"],
        phone=phone,
        language=told["language"],
        days=told["days"],
    )
    with reading_in(told["language"]):
        words = message_words(told["purpose"], visitor.project.name, company.name if company else "")
    address = address_of_feed if told["purpose"] == "calendar" else address_of_link
    unmailed = company.name if company and not company.email else ""
    return FreshLink(told["holder"], phone, address(token), words, told["language"], unmailed)


def _page(request: HttpRequest, visitor: Visitor, *, status: int = 200, **context: object) -> HttpResponse:
    now = timezone.now()
    context["lines"] = [_line(link, now) for link in links(visitor.project)]
    return render(request, "links/index.html", context, status=status)


def _line(link: LinkView, now: datetime) -> LinkLine:
    ended = _("taken back") if link.revoked_at else _("expired") if link.expires_at <= now else ""
    what = f"{PURPOSES[link.purpose]}, {link.company}" if link.company else str(PURPOSES[link.purpose])
    return LinkLine(
        uid=link.uid,
        what=what,
        holder=link.holder,
        phone=link.phone,
        language=own_names().get(link.language, ""),
        issued_at=link.issued_at,
        expires_at=link.expires_at,
        ended=ended,
        first_opened_at=link.first_opened_at,
        last_opened_at=link.last_opened_at,
        times_opened=link.times_opened,
        opens_pages=link.purpose != "calendar",
    )
