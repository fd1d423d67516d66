"""Coming in: with a mailed link for those who have an account, with a sent link for those who have none."""

from datetime import datetime

from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coordination.access.actions import ask_for_sign_in, choose_language, open_link, spend_link
from coordination.access.actions.links import sha256_of
from coordination.access.models import ShareLink
from coordination.access.queries import language_of_link
from coordination.access.refusals import (
    LinkRefused,
    LinkRevoked,
    LinkUnknown,
    Reason,
    Refusal,
    TooManyAttempts,
)
from coordination.web.forms.signing_in import SignInForm
from coordination.web.guards import person_of, remember_link
from coordination.web.languages import chosen_in, remember_language, speak_to
from coordination.web.mail import mail_sign_in_link
from coordination.web.network_address import address_of
from coordination.web.refused import in_words
from coordination.web.ways import way_of_link, ways_of


@require_GET
@never_cache
def home(request: HttpRequest) -> HttpResponse:
    """Straight to where somebody has just one place to go, or to all sites of an account; else the choice.

    Strangers sign in.
    """
    ways = ways_of(request, timezone.now())
    if not ways and person_of(request) is None:
        return redirect("sign-in")
    if len(ways) == 1:
        return redirect(ways[0].href)
    if ways and not any(way.by_link for way in ways):
        return redirect("sites")
    return render(request, "signing_in/home.html", {"ways": ways})


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def sign_in(request: HttpRequest) -> HttpResponse:
    """Ask for the address, mail a link, and say the same whether or not the address is known."""
    form = SignInForm(request.POST if request.method == "POST" else None)
    if request.method != "POST" or not form.is_valid():
        return render(request, "signing_in/sign_in.html", {"form": form}, status=422 if form.errors else 200)
    try:
        found = ask_for_sign_in(form.cleaned_data["email"], address_of(request), timezone.now())
    except TooManyAttempts as refusal:
        context = {"form": form, "reasons": in_words(refusal)}
        return render(request, "signing_in/sign_in.html", context, status=429)
    if found:
        mail_sign_in_link(*found)
    return redirect("sign-in-sent")


@require_GET
def sign_in_sent(request: HttpRequest) -> HttpResponse:
    return render(request, "signing_in/sent.html")


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def link(request: HttpRequest, token: str) -> HttpResponse:
    """Looking at a link shows a button and uses nothing up; pressing the button comes in.

    The page speaks the language in which the link was sent, until its reader chooses another.
    """
    now = timezone.now()
    try:
        found = _standing(open_link(token, now, address=address_of(request)))
        speak_to(request, found.person.language if found.person else found.language)
        if request.method == "POST":
            return _come_in(request, found, now)
    except LinkRefused as refusal:
        speak_to(request, language_of_link(sha256_of(token)))
        return _link_refused(request, refusal, status=404 if isinstance(refusal, LinkUnknown) else 410)
    except TooManyAttempts as refusal:
        return _link_refused(request, refusal, status=429)
    response = render(request, "signing_in/link.html", {"link": found, "token": token})
    response.headers["X-Robots-Tag"] = "noindex, nofollow, noarchive"
    return response


@require_POST
@never_cache
def sign_out(request: HttpRequest) -> HttpResponse:
    """Forget the account and every link that this browser has opened."""
    logout(request)
    return redirect("sign-in")


def _standing(link: ShareLink) -> ShareLink:
    """The link, unless the account that it signs in was closed."""
    if link.person is not None and not link.person.is_active:
        raise LinkRevoked(Reason("link revoked"))
    return link


def _come_in(request: HttpRequest, link: ShareLink, at: datetime) -> HttpResponse:
    spend_link(link, at)
    if link.purpose == "sign in" and link.person is not None:
        login(request, link.person)
        response = redirect("home")
        remember_language(response, link.person.language)
        return response
    remember_link(request, link)
    response = redirect(way_of_link(link).href)
    _settle_language(request, response, link)
    return response


def _settle_language(request: HttpRequest, response: HttpResponse, link: ShareLink) -> None:
    """What was chosen on the link's page holds for the link; else the browser reads on as the link was sent."""
    chosen = chosen_in(request)
    if not chosen and link.language:
        remember_language(response, link.language)
    elif chosen and person_of(request) is None:
        choose_language(None, [link.uid], chosen)


def _link_refused(request: HttpRequest, refusal: Refusal, *, status: int) -> HttpResponse:
    return render(request, "signing_in/link_refused.html", {"reasons": in_words(refusal)}, status=status)
