"""The web app as it installs on a phone: its manifest, its worker, and the sheet that shows without signal."""

import json

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from coordination.web.senders import kept_on_the_phone
from coordination.web.shapes.phone_files import phone_files

PAPER, INK = "#faf7ef", "#1b2330"


@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """What the phone shows of the app before it is opened (W3C Web Application Manifest)."""
    sizes = (("icon-192.png", "192x192", "any"), ("icon-512.png", "512x512", "any"))
    icons = [
        {"src": static(f"img/{name}"), "sizes": size, "type": "image/png", "purpose": purpose}
        for name, size, purpose in (*sizes, ("icon-maskable.png", "512x512", "maskable"))
    ]
    told = {
        "id": "/",
        "name": "Sill & Plumb",
        "short_name": "Sill & Plumb",
        "description": _("Your tasks on the site, also without signal."),
        "lang": get_language(),
        "start_url": reverse("home"),
        "scope": "/",
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": PAPER,
        "icons": icons,
    }
    return JsonResponse(told, content_type="application/manifest+json")


@require_safe
@never_cache
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker: what it is about, and its one file. Other files, another worker."""
    about = {
        "version": settings.STATIC_VERSION,
        "files": phone_files(),
        "statics": f"/{settings.STATIC_URL.strip('/')}/".replace(f"/{settings.STATIC_VERSION}/", "/"),
        "phone": reverse("phone"),
        "home": reverse("home"),
        "signOut": reverse("sign-out"),
    }
    source = f"const ABOUT = {json.dumps(about)};\nimportScripts({json.dumps(static('js/worker.js'))});\n"
    return HttpResponse(source, content_type="text/javascript; charset=utf-8")


@require_safe
@never_cache
@kept_on_the_phone
def phone(request: HttpRequest) -> HttpResponse:
    """What lies on this phone: what was not sent yet, and which sheets can be read. Filled in by the phone itself."""
    return render(request, "phone/phone.html")
