"""System checks of a whole deployment. ``check --deploy`` also lists what rests on memory."""

import tempfile
from collections import defaultdict
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.checks import CheckMessage, Error, Info, Tags, Warning, register
from django.http.request import split_domain_port, validate_host
from django.utils import timezone

from coordination.paper.signing import Signing, unusable
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.toml_tables import CatalogueError

SIGNED_BY = {
    "key": "SILL_SIGNING_KEY",
    "certificate": "SILL_SIGNING_CERTIFICATE",
    "program": "SILL_SIGNING_KEY",
}


@register(Tags.files)
def originals_can_be_kept(**kwargs: Any) -> list[CheckMessage]:
    """Where originals are stored, and where uploads arrive, a file can be made."""
    found: list[CheckMessage] = []
    for folder in (settings.FILES_ROOT, settings.FILE_UPLOAD_TEMP_DIR):
        try:
            with tempfile.TemporaryFile(dir=folder):
                pass
        except OSError as fault:
            found.append(
                Error(
                    f"No file can be written in {folder}: {fault.strerror}.",
                    hint="Make the folder writable for whoever runs this, or set SILL_VAR to one that is.",
                    id="console.E001",
                )
            )
    return found


@register(Tags.security, deploy=True)
def sent_links_lead_here(**kwargs: Any) -> list[CheckMessage]:
    """The address that is written into links is one that this deployment answers, and is encrypted where it is."""
    address = urlsplit(settings.SITE_ADDRESS)
    found: list[CheckMessage] = []
    if settings.HTTPS and address.scheme != "https":
        hint = "Set SILL_ADDRESS to the address that people open, beginning with https://."
        found.append(Warning(f"Links are sent as {settings.SITE_ADDRESS}.", hint=hint, id="console.W001"))
    if not validate_host(split_domain_port(address.netloc)[0], settings.ALLOWED_HOSTS):
        hint = "Name the host of SILL_ADDRESS in SILL_HOSTS."
        found.append(Warning(f"{settings.SITE_ADDRESS} would not be answered.", hint=hint, id="console.W002"))
    return found


@register(Tags.security, deploy=True)
def attempts_are_counted_by_visitor(**kwargs: Any) -> list[CheckMessage]:
    """Who tries too often is told apart by address: behind a proxy only where the proxy is named, and only it."""
    found: list[CheckMessage] = []
    if settings.HTTPS and not settings.TRUSTED_PROXIES:
        hint = "Name the address of the proxy that ends https in SILL_TRUSTED_PROXIES, such as 127.0.0.1."
        words = "Behind a proxy that is not named, all visitors share one count of attempts."
        found.append(Warning(words, hint=hint, id="console.W003"))
    if any(network.prefixlen == 0 for network in settings.TRUSTED_PROXIES):
        hint = "Name only your own proxies in SILL_TRUSTED_PROXIES."
        words = "Everybody is trusted as a proxy, so that everybody may claim any address."
        found.append(Warning(words, hint=hint, id="console.W004"))
    return found


@register(Tags.security)
def reports_can_be_signed(**kwargs: Any) -> list[CheckMessage]:
    """Where a key is set, it signs today. No more than a warning: checking and serving go on without it."""
    fault = unusable(Signing(*settings.SIGNING), timezone.now()) if settings.SIGNING else None
    if fault is None:
        return []
    name = SIGNED_BY[fault.part]
    words = f"{name}: {fault.what} No report is made until this is right."
    return [Warning(words, hint=fault.right, id="console.W005")]


@register("catalogue", deploy=True)
def memory_is_to_be_confirmed(**kwargs: Any) -> list[CheckMessage]:
    """One message for each source that rests on memory, with the entries that rest on it."""
    try:
        listed = load_catalogue().to_confirm()
    except CatalogueError as fault:
        return [Error(str(fault), hint="No plan can be derived until this is right.", id="console.E002")]
    entries = defaultdict(list)
    for entry, source in listed:
        if source.status == "memory":
            entries[source].append(entry)
    return [
        Info(
            f"From memory: {source}. Entries: {', '.join(names)}.",
            hint=f"Confirm with: {source.confirm_with}.",
            id="console.I001",
        )
        for source, names in entries.items()
    ]
