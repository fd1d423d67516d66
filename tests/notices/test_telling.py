"""Who is told what: found from the record, once, and never what they did themselves."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from coordination.access.actions import end_membership
from coordination.evidence.models import Evidence
from coordination.notices.actions import FRESH, read_on
from coordination.notices.models import Cursor, Message
from coordination.notices.queries import told, unread
from coordination.projects.actions import FactInput, answer_question
from coordination.record.models import Chain
from tests.gates.sites import Site, build

Told = set[tuple[str, str]]


@pytest.fixture
def site(db: None) -> Site:
    site = build()
    read_all(site)
    Message.objects.all().delete()
    return site


def read_all(site: Site, now: datetime | None = None) -> None:
    while site.project.stream in unread(site.at):
        read_on(site.project.stream, now or site.at)


@pytest.fixture
def told_by(site: Site) -> Callable[..., Told]:
    """Read the record and give who was told, by kind, since the last time."""

    def read() -> Told:
        Message.objects.all().delete()
        read_all(site)
        names = {person.pk: name for name, person in site.cast.people.items()}
        return {(row.kind, names[row.person_id]) for row in Message.objects.all()}

    return read


def test_an_offer_is_told_to_those_who_review_and_those_who_receive(site: Site, told_by) -> None:
    site.start("backing@rail-wall", "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    assert told_by() == set()
    site.offer("backing@rail-wall", "framer")
    assert told_by() == {("offered", "contractor"), ("offered", "coordinator"), ("offered", "crew")}


def test_a_refusal_is_told_to_the_trade_whose_work_comes_back(site: Site, told_by) -> None:
    site.start("backing@rail-wall", "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    offer = site.offer("backing@rail-wall", "framer")
    told_by()
    site.review("backing@rail-wall#left", "contractor", "refused", "no tape in the picture")
    assert told_by() == {("refused", "framer")}
    site.photo("backing@rail-wall#left", "framer")
    again = site.offer("backing@rail-wall", "framer")
    assert again.round == offer.round + 1
    told_by()
    site.answer(again, "rails@hoistway", "crew", "refused", "blocks are loose")
    assert told_by() == {("refused", "framer")}


def test_clearing_and_reopening_are_told_to_those_of_the_whole_site_but_not_to_whoever_did_it(
    site: Site, told_by
) -> None:
    site.signed()
    told_by()
    site.clear("close-in", "contractor")
    assert told_by() == {("cleared", "coordinator"), ("cleared", "crew")}
    site.withdraw(Evidence.objects.get(requirement=site.need("backing@rail-wall#left")), "framer")
    assert told_by() == {("reopened", name) for name in ("coordinator", "contractor", "crew")}


def test_an_answer_is_told_to_the_coordinator(site: Site, told_by) -> None:
    said = FactInput(typed="no", said_by="Plumbing inspector", source="letter")
    answer_question(site.project, site.who("contractor"), site.step(), "pit.sump", said)
    assert told_by() == {("answered", "coordinator")}


def test_whoever_answers_themselves_is_told_nothing(site: Site, told_by) -> None:
    said = FactInput(typed="no", said_by="Plumbing inspector", source="letter")
    answer_question(site.project, site.who("coordinator"), site.step(), "pit.sump", said)
    assert told_by() == set()


def test_neither_the_other_company_of_the_trade_nor_who_left_is_told(site: Site, told_by) -> None:
    site.start("rough@pit", "electrician")
    site.photo("rough@pit#receptacle", "electrician")
    site.document("rough@pit#inspection", "contractor")
    told_by()
    site.start("backing@rail-wall", "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.review("backing@rail-wall#left", "contractor", "refused", "too dark")
    names = {name for _kind, name in told_by()}
    assert names == {"framer"}


def test_reading_twice_or_after_a_kill_makes_no_message_twice(site: Site) -> None:
    site.signed()
    site.clear("close-in")
    read_all(site)
    before = sorted(Message.objects.values_list("event", "person", "kind"))
    Cursor.objects.update(seq=0)
    read_all(site)
    assert sorted(Message.objects.values_list("event", "person", "kind")) == before
    length = Chain.objects.get(stream=site.project.stream).length
    assert Cursor.objects.get(stream=site.project.stream).seq == length
    assert unread(site.at) == []


def test_a_kill_while_messages_are_kept_leaves_the_mark_where_it_was(site: Site, monkeypatch) -> None:
    site.signed()
    before = Cursor.objects.get(stream=site.project.stream).seq

    def killed(*args, **more):
        raise SystemExit

    with monkeypatch.context() as patch:
        patch.setattr("coordination.notices.actions.Message.objects.bulk_create", killed)
        with pytest.raises(SystemExit):
            read_on(site.project.stream, site.at)
    assert Cursor.objects.get(stream=site.project.stream).seq == before
    read_all(site)
    assert Message.objects.count() > 0


def test_what_is_long_past_is_read_over(site: Site) -> None:
    site.signed()
    site.clear("close-in")
    Cursor.objects.update(seq=0)
    read_all(site, site.at + FRESH + timedelta(days=1))
    assert (Message.objects.count(), unread(site.at)) == (0, [])


def test_only_streams_of_projects_are_read(site: Site) -> None:
    assert Chain.objects.filter(stream__startswith="supplier:").exists()
    Cursor.objects.all().delete()
    assert unread(site.at) == [site.project.stream]


def test_the_newest_messages_of_a_project_are_listed(site: Site) -> None:
    far = build("far.")
    for each in (site, far):
        each.signed()
        each.clear("close-in")
        read_all(each)
    people = {person.pk for person in site.cast.people.values()}
    assert {row.person_id for row in told(site.project)} <= people
    assert len(told(site.project, most=1)) == 1


def test_a_member_who_leaves_is_not_told_any_more(site: Site, told_by) -> None:
    site.signed()
    end_membership(site.project, site.who("coordinator"), site.step(), site.cast.memberships["crew"].uid)
    told_by()
    site.clear("close-in", "contractor")
    assert told_by() == {("cleared", "coordinator")}
