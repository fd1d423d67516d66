"""What goes out: plain words in the reader's language, a link to their page, nothing secret; once, or again after a fault."""

import pytest
from django.core import mail

from coordination.access.actions import end_membership
from coordination.background.running import run_until_idle
from coordination.console.background_work import WORKS
from coordination.evidence.models import Evidence
from coordination.notices.actions import read_on, send
from coordination.notices.models import Cursor, Message
from coordination.notices.queries import unread, unsent
from tests.gates.sites import Site, build


@pytest.fixture
def site(db: None) -> Site:
    site = build()
    site.start("backing@rail-wall", "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    return site


def tell(site: Site) -> dict[str, mail.EmailMessage]:
    """Read everything, send everything; what went out by addressee."""
    mail.outbox.clear()
    while site.project.stream in unread(site.at):
        read_on(site.project.stream, site.at)
    for key in unsent(site.at):
        send(int(key), site.at)
    return {message.to[0].split("@")[0]: message for message in mail.outbox}


def test_an_offer_says_what_until_when_and_leads_to_the_page(site: Site, settings) -> None:
    tell(site)
    site.offer("backing@rail-wall", "framer", crew_waiting=True)
    sent = tell(site)["crew"]
    assert sent.subject == "Harrow Lane: offered to you: backing"
    assert "Bo Tran has finished and offers:" in sent.body
    assert "answer by Tue 3 Mar, 07:" in sent.body
    assert "A crew is waiting" in sent.body
    assert (
        f"{settings.SITE_ADDRESS}/sites/{site.project.uid}/tasks/{site.task('backing@rail-wall').uid}"
        in sent.body
    )
    assert sent.extra_headers == {"Auto-Submitted": "auto-generated"}


def test_a_refusal_says_why_and_leads_a_trade_to_its_own_page(site: Site) -> None:
    site.offer("backing@rail-wall", "framer")
    site.review("backing@rail-wall#left", "contractor", "refused", "no tape in the picture", "too dark")
    sent = tell(site)["framer"]
    assert "  - no tape in the picture\n  - too dark\n" in sent.body
    assert f"/my/{site.project.uid}/tasks/{site.task('backing@rail-wall').uid}" in sent.body


def test_a_reopening_says_why_and_who_is_at_work_without_their_telephone(db: None) -> None:
    site = build()
    site.signed()
    site.clear("close-in")
    site.start("board@rail-wall", "other electrician")
    site.withdraw(
        Evidence.objects.get(requirement=site.need("backing@rail-wall#left")), "framer", "wrong wall"
    )
    sent = tell(site)
    body = sent["contractor"].body
    assert sent["contractor"].subject == "Harrow Lane: gate reopened: close-in"
    for words in (
        "  - wrong wall",
        "  - board, Cold Spring Electric",
        f"/gates/{site.gate('close-in').task.uid}",
    ):
        assert words in body


def test_nothing_secret_is_in_any_mail(db: None) -> None:
    site = build()
    site.signed()
    site.clear("close-in")
    site.withdraw(Evidence.objects.get(requirement=site.need("backing@rail-wall#left")), "framer")
    tell(site)
    assert len(mail.outbox) > 5
    for message in mail.outbox:
        for word in ("555-", "/l/", "token", *site.cast.tokens.values()):
            assert word not in message.subject + message.body


def test_each_goes_out_once(site: Site) -> None:
    site.offer("backing@rail-wall", "framer")
    first = tell(site)
    assert len(first) == 3
    assert tell(site) == {}
    assert [send(row.pk, site.at) for row in Message.objects.all()] == [False] * 3


def test_what_could_not_be_sent_is_sent_later(site: Site, monkeypatch) -> None:
    tell(site)
    site.offer("backing@rail-wall", "framer")

    def refuse(message, fail_silently=False):
        raise ConnectionRefusedError

    with monkeypatch.context() as patch:
        patch.setattr("django.core.mail.EmailMessage.send", refuse)
        with pytest.raises(ConnectionRefusedError):
            tell(site)
    assert len(unsent(site.at)) == 3
    assert len(tell(site)) == 3


def test_whoever_left_before_it_went_out_gets_none(site: Site) -> None:
    site.offer("backing@rail-wall", "framer")
    read_on(site.project.stream, site.at)
    end_membership(site.project, site.who("coordinator"), site.step(), site.cast.memberships["crew"].uid)
    assert sorted(tell(site)) == ["contractor", "coordinator"]
    assert unsent(site.at) == []


def test_each_reads_it_in_their_own_language(site: Site, monkeypatch) -> None:
    person = site.cast.people["crew"]
    person.language = "es"
    person.save()
    site.offer("backing@rail-wall", "framer")
    seen = []
    from django.utils import translation

    from coordination.notices import mails

    whole = mails.render_to_string
    monkeypatch.setattr(
        mails,
        "render_to_string",
        lambda *a, **k: (seen.append(translation.get_language()), whole(*a, **k))[1],
    )
    tell(site)
    assert sorted(seen) == ["en-us", "en-us", "es"]


def test_a_name_with_a_line_break_makes_no_header(site: Site) -> None:
    site.project.name = "Harrow\nBcc: all@site.example"
    site.project.save()
    site.offer("backing@rail-wall", "framer")
    for message in tell(site).values():
        assert "\n" not in message.subject
        assert message.recipients() == message.to


@pytest.mark.parametrize("kind", ["messages", "mails"])
def test_the_worker_does_it(site: Site, kind: str) -> None:
    assert kind in {work.kind for work in WORKS}
    mail.outbox.clear()
    site.offer("backing@rail-wall", "framer")
    works = [work for work in WORKS if work.kind in {"messages", "mails"}]
    done = list(run_until_idle(works, site.at, children=False))
    assert {item.error for item in done} == {""}
    assert Cursor.objects.get(stream=site.project.stream).seq > 0
