"""Signing in without a password: a link that works once, for a short time, mailed to the account's address."""

from datetime import datetime, timedelta

from coordination.access.actions.links import new_token, sha256_of
from coordination.access.attempts import LINKS_FOR_AN_ACCOUNT, LINKS_FROM_AN_ADDRESS, count_attempt
from coordination.access.models import Person, ShareLink


def send_sign_in_link(person: Person, at: datetime, *, minutes: int = 20, once: bool = True) -> str:
    """Make a link that signs ``person`` in and return its token."""
    token = new_token()
    ShareLink.objects.create(
        token_sha256=sha256_of(token),
        purpose="sign in",
        person=person,
        holder=person.name,
        issued_at=at,
        expires_at=at + timedelta(minutes=minutes),
        once=once,
    )
    return token


def ask_for_sign_in(email: str, address: str, at: datetime) -> tuple[Person, str] | None:
    """The person to mail and the token, or None where no account has this e-mail.

    The page must answer the same in both cases; the limits count both. Raises TooManyAttempts.
    """
    count_attempt(LINKS_FROM_AN_ADDRESS, address, at)
    count_attempt(LINKS_FOR_AN_ACCOUNT, email, at)
    person = Person.objects.filter(email=email.strip().lower(), is_active=True).first()
    return (person, send_sign_in_link(person, at)) if person else None
