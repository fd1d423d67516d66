"""Mails that a screen sends at once, because only their hash is kept and they cannot be made again."""

from django.conf import settings
from django.core.mail import send_mail
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from coordination.access.models import Person


def address_of_link(token: str) -> str:
    """The whole address that opens a link."""
    return settings.SITE_ADDRESS + reverse("link", args=[token])


def address_of_feed(token: str) -> str:
    """The whole address that a calendar program reads."""
    return settings.SITE_ADDRESS + reverse("feed", args=[token])


def mail_sign_in_link(person: Person, token: str) -> None:
    """Send ``person`` the link, in their language."""
    with translation.override(person.language):
        words = render_to_string("mail/sign_in.txt", {"person": person, "address": address_of_link(token)})
        send_mail(_("Your link to sign in"), words, settings.DEFAULT_FROM_EMAIL, [person.email])
