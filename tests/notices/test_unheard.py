"""Companies that only came by a link: written to where an e-mail is known; else those who run the site are told."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core import mail

from coordination.access.actions import add_member, spend_link
from coordination.access.models import Company
from coordination.dates.calls import NEWS, Calling, log_call
from coordination.evidence.models import Evidence
from coordination.gates.queries import look_at
from coordination.notices.actions import read_on, send
from coordination.notices.models import Message
from coordination.notices.queries import unread, unsent
from coordination.notices.reminding import remind, unreminded
from coordination.notices.unheard import Unheard, unheard
from tests.gates.sites import BACKING, Site, build
from tests.notices.linked import NAME, by_link_only, reopened_over_a_link
from tests.standing_cast import NOBODYS

NEW_YORK = ZoneInfo("America/New_York")


def refused_over_a_link(**more: str) -> Site:
    site = build()
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.offer(BACKING.key, "framer")
    by_link_only(site, "framing", **more)
    tell(site)
    site.review("backing@rail-wall#left", "contractor", "refused", "no tape in the picture")
    return site


def tell(site: Site) -> dict[tuple[str, str], mail.EmailMessage]:
    """Read everything, send everything; by addressee and the first words of the subject behind the site's name."""
    mail.outbox.clear()
    while site.project.stream in unread(site.at):
        read_on(site.project.stream, site.at)
    for key in unsent(site.at):
        send(int(key), site.at)
    return {(one.to[0].split("@")[0], one.subject.split(": ")[1]): one for one in mail.outbox}


def not_told(site: Site, at: datetime | None = None) -> list[Unheard]:
    now = at or site.at
    return unheard({site.project.pk: look_at(site.project, now)}, now)[site.project.pk]


def kinds(site: Site) -> list[tuple[str, list[str]]]:
    return [(each.party.name, [one.kind for one in each.news]) for each in not_told(site)]


def test_a_refusal_that_no_mail_brings_is_told_to_who_runs_the_site(db: None) -> None:
    """Also to the contractor who refused it: that nobody heard of it is news."""
    sent = tell(refused_over_a_link())
    assert sorted(sent) == [
        ("contractor", f"nobody was told at {NAME}"),
        ("coordinator", f"nobody was told at {NAME}"),
    ]
    body = sent["contractor", f"nobody was told at {NAME}"].body
    assert f"  - {NAME}\n" in body
    assert "This came back to them:\n\n  backing: Photo\n" in body
    assert "  - no tape in the picture\n" in body
    assert "555-" not in body


def test_where_an_email_is_known_it_goes_there_in_the_links_language_and_nobody_else_is_bothered(
    db: None,
) -> None:
    site = refused_over_a_link(email="office@bluedoor.example")
    sent = tell(site)
    assert [name for name, _about in sent] == ["office"]
    [message] = sent.values()
    assert f"/my/{site.project.uid}/" in message.body
    assert "/l/" not in message.body
    assert (not_told(site), Message.objects.filter(company__name=NAME).count()) == ([], 1)


def test_a_reopening_is_told_so_and_mailed_with_the_gate(db: None) -> None:
    site, *_rest = reopened_over_a_link()
    sent = tell(site)
    for name in ("contractor", "coordinator"):
        assert (name, "gate reopened") in sent
        assert "A gate has reopened:\n\n  close-in\n" in sent[name, f"nobody was told at {NAME}"].body
    assert kinds(site) == [(NAME, ["reopened"])]


def test_they_are_unheard_until_they_open_their_link(db: None) -> None:
    site, _company, link, _token = reopened_over_a_link()
    [before] = not_told(site)
    assert (before.party.phone, before.party.language, before.party.has_link) == ("+1 555-0191", "es", True)
    spend_link(link, before.news[0].at - timedelta(minutes=1))
    assert kinds(site) == [(NAME, ["reopened"])]
    spend_link(link, site.step())
    assert not_told(site) == []


@pytest.mark.parametrize(("outcome", "left"), [("reached", 0), ("texted", 0), ("no answer", 1)])
def test_or_until_somebody_has_reached_them(db: None, outcome: str, left: int) -> None:
    site, *_rest = reopened_over_a_link()
    log_call(
        site.project, site.who("coordinator"), site.step(), NOBODYS, Calling(NEWS, NAME, "555-0191", outcome)
    )
    assert len(not_told(site)) == left


def test_an_expired_link_is_said(db: None) -> None:
    site, *_rest = reopened_over_a_link()
    [each] = not_told(site, site.at + timedelta(days=61))
    assert each.party.has_link is False


def test_once_they_have_an_account_they_hear_by_mail(db: None) -> None:
    site = refused_over_a_link()
    assert kinds(site) == [(NAME, ["refused"])]
    visitor = site.who("coordinator")
    add_member(
        site.project, visitor, site.step(), person=site.cast.people["stranger"],
        company=Company.objects.get(name=NAME), role="subcontractor", trade="framing",
    )  # fmt: skip
    assert not_told(site) == []


def test_a_reminder_that_reaches_nobody_is_told_once(db: None) -> None:
    site = build()
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    by_link_only(site, "lift")
    site.at = datetime(2026, 3, 2, 11, 50, tzinfo=NEW_YORK)
    offer = site.offer(BACKING.key, "framer")
    assert kinds(site) == [(NAME, ["offered"])]
    (
        site.review("backing@rail-wall#left", "contractor"),
        site.review("backing@rail-wall#spread", "coordinator"),
    )
    tell(site)
    site.at = datetime(2026, 3, 2, 14, 0, tzinfo=NEW_YORK)
    for _turn in range(2):
        for uid in unreminded(site.at):
            remind(uid, site.at)
    assert sorted((row.kind, row.person.name) for row in Message.objects.filter(sent_at=None)) == [
        ("unreminded", "Ana Ruiz"),
        ("unreminded", "Ida Marsh"),
    ]
    sent = tell(site)
    assert "Their answer to this is awaited by Tue 3 Mar, 07:55" in (
        sent["contractor", f"nobody was reminded at {NAME}"].body
    )
    assert kinds(site) == [(NAME, ["reminded"])]
    site.at = offer.answer_by + timedelta(minutes=1)
    assert kinds(site) == [(NAME, ["late"])]


def test_an_inspector_who_came_by_a_link_holds_a_superseded_report(db: None) -> None:
    site = build()
    site.signed()
    site.clear("close-in")
    spend_link(site.cast.links["inspector"], site.step())
    site.withdraw(Evidence.objects.get(requirement=site.need("backing@rail-wall#left")), "framer")
    assert kinds(site) == [("inspector", ["reopened"])]
