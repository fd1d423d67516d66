"""The text message with which somebody first hears of a link: written here, sent from the sender’s own phone."""

import re
from collections.abc import Mapping
from urllib.parse import quote

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

WORDS: Mapping[str, str | Promise] = {
    "company tasks": _("%(site)s: your tasks, %(company)s. Open this on your phone; no account is needed:"),
    "calendar": _("%(site)s: the days of %(company)s. Add this address to your calendar:"),
    "owner page": _("%(site)s: how far your building is. Open this; no account is needed:"),
    "inspection": _("%(site)s: the handover reports. Open this; no account is needed:"),
}


def message_words(purpose: str, site: str, company: str) -> str:
    """The words before the address, in the language that is being spoken."""
    return str(WORDS[purpose]) % {"site": site, "company": company}


def sms_address(phone: str, text: str) -> str:
    """An address that opens the phone’s own messages with ``text`` written to ``phone``, or to whom is chosen there.

    Digits and a leading plus only, an extension cannot be texted. RFC 5724 puts ?body= behind the number; some
    iPhones read only what follows an ampersand, and "?&body=" is read by them and by Android (common practice, no
    source).
    """
    number = re.sub(r"\s*(?:x|ext).*$", "", phone.strip().lower())
    digits = re.sub(r"\D", "", number)
    return f"sms:{'+' if number.startswith('+') else ''}{digits}?&body={quote(text, safe='')}"
