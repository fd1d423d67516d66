"""From which network address somebody asks, also where a proxy stands before this server."""

from ipaddress import ip_address

from django.conf import settings
from django.http import HttpRequest


def address_of(request: HttpRequest) -> str:
    """The address that attempts are counted for.

    Each proxy adds the address that it saw at the end of X-Forwarded-For. The list is read from that end, and only as
    far as the proxies are ours: what stands before them anybody could have written.
    """
    address = str(request.META.get("REMOTE_ADDR", ""))
    hops = request.headers.get("X-Forwarded-For", "").split(",")
    while hops and _is_ours(address):
        before = hops.pop().strip()
        if not _is_address(before):
            break
        address = before
    return address


def _is_ours(text: str) -> bool:
    return _is_address(text) and any(ip_address(text) in network for network in settings.TRUSTED_PROXIES)


def _is_address(text: str) -> bool:
    try:
        ip_address(text)
    except ValueError:
        return False
    return True
