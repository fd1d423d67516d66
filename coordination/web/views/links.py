"""Links for people without an account: send one, see which stand, take one back."""

from dataclasses import dataclass
from datetime import datetime
from urllib.parse import quote
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from coordination.access import actions
from coordination.access.queries import LinkView, companies, company_of, links
from coordination.access.refusals import CannotBeSo
from coordination.access.visitors import Visitor
from coordination.web.forms.links import LinkForm
from coordination.web.guards import guard
from coordination.web.mail import address_of_feed, address_of_link
from coordination.web.refused import in_words
from coordination.web.words import PURPOSES


@dataclass(frozen=True)
class FreshLink:
    """A link just made. Its address is shown this once: only its hash is kept."""

    holder: str
    phone: str
    address: str
    words: str

    @property
    def text_message(self) -> str:
        """An address that opens the phone's own messages with the link written."""
        return f"sms:{''.join(self.phone.split())}?&body={quote(f'{self.words} {self.address}')}"


@dataclass(frozen=True)
class LinkLine:
    """A link that was sent, and whether it still opens anything."""

    uid: UUID
    what: str
    holder: str
    phone: str
    issued_at: datetime
    expires_at: datetime
    ended: str


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """All links of the project, and the form for a new one."""
    visitor = guard(request, project, "send a link")
    form = LinkForm(request.POST or None, companies=companies(visitor.project))
    if request.method != "POST" or not form.is_valid():
        return _page(request, visitor, form=form, status=422 if form.errors else 200)
    try:
        fresh = _send(visitor, form)
    except CannotBeSo as refusal:
        return _page(request, visitor, form=form, reasons=in_words(refusal), status=422)
    return _page(request, visitor, form=LinkForm(companies=companies(visitor.project)), fresh=fresh)


@require_POST
def revoke(request: HttpRequest, project: UUID, link: UUID) -> HttpResponse:
    """Take a link back at once."""
    visitor = guard(request, project, "revoke a link")
    actions.revoke_link(visitor.project, visitor, timezone.now(), link)
    messages.success(request, _("The link was taken back; it opens nothing any more."))
    return redirect("links", project)


def _send(visitor: Visitor, form: LinkForm) -> FreshLink:
    told = form.cleaned_data
    company = company_of(visitor.project, UUID(told["company"])) if told["company"] else None
    _link, token = actions.send_link(
        visitor.project,
        visitor,
        timezone.now(),
        purpose=told["purpose"],
        company=company,
        holder=told["holder"],
        phone=told["phone"],
        days=told["days"],
    )
    words = _("%(site)s, %(what)s:") % {"site": visitor.project.name, "what": PURPOSES[told["purpose"]]}
    address = address_of_feed if told["purpose"] == "calendar" else address_of_link
    return FreshLink(told["holder"], told["phone"], address(token), words)


def _page(request: HttpRequest, visitor: Visitor, *, status: int = 200, **context: object) -> HttpResponse:
    now = timezone.now()
    context["lines"] = [_line(link, now) for link in links(visitor.project)]
    return render(request, "links/index.html", context, status=status)


def _line(link: LinkView, now: datetime) -> LinkLine:
    ended = _("taken back") if link.revoked_at else _("expired") if link.expires_at <= now else ""
    what = f"{PURPOSES[link.purpose]}, {link.company}" if link.company else str(PURPOSES[link.purpose])
    return LinkLine(link.uid, what, link.holder, link.phone, link.issued_at, link.expires_at, ended)
