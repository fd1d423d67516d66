"""Two at once on real databases: whoever comes second reads what the first has written."""

import threading

import pytest
from django.db import connections

from coordination.access import actions
from coordination.access.deciding import deciding
from coordination.access.models import Assignment, Membership, ShareLink
from coordination.access.refusals import CannotLeave, LinkUsed, NoLongerStanding
from coordination.record.models import Event
from coordination.record.verification import Verified, verify_all
from tests.standing_cast import AT, Cast, gather


def at_once(*works):
    """Run each in a thread of its own, from one barrier; the exceptions they ended with, or None."""
    barrier, ends = threading.Barrier(len(works)), [None] * len(works)

    def run(place, work):
        try:
            barrier.wait(10)
            work()
        except Exception as error:
            ends[place] = error
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(works)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return ends


@pytest.fixture
def cast(real_database) -> Cast:
    return gather()


def kinds(ends):
    return sorted(type(end).__name__ for end in ends)


def test_of_two_who_spend_a_link_one_gets_in(cast):
    token = actions.send_sign_in_link(cast.people["owner"], AT)
    links = [actions.open_link(token, AT) for _ in range(2)]
    ends = at_once(*(lambda link=link: actions.spend_link(link, AT) for link in links))
    assert kinds(ends) == [LinkUsed.__name__, "NoneType"]


def test_attempts_from_everywhere_at_once_are_all_counted(cast):
    asked = [
        lambda n=n: actions.ask_for_sign_in("owner@site.example", f"203.0.113.{n}", AT) for n in range(7)
    ]
    assert kinds(at_once(*asked)) == [*["NoneType"] * 5, *["TooManyAttempts"] * 2]


def test_two_assignments_of_one_trade_leave_one_standing(cast):
    coordinator, contractor = cast.visitor("coordinator"), cast.visitor("contractor")
    ends = at_once(
        lambda: actions.assign_company(
            cast.project, coordinator, AT, trade="drywall", company=cast.companies["framer"]
        ),
        lambda: actions.assign_company(
            cast.project, contractor, AT, trade="drywall", company=cast.companies["electrician"]
        ),
    )
    assert ends == [None, None]
    drywall = Assignment.objects.filter(trade="drywall")
    assert (drywall.count(), drywall.filter(ended_at__isnull=True).count()) == (2, 1)
    assert {type(answer) for answer in verify_all()} == {Verified}


def test_one_press_twice_at_once_is_one_event(cast):
    coordinator, before = cast.visitor("coordinator"), Event.objects.count()
    press = lambda: actions.revoke_link(cast.project, coordinator, AT, cast.links["owner"].uid)  # noqa: E731
    assert at_once(press, press) == [None, None]
    assert Event.objects.count() == before + 1
    assert ShareLink.objects.get(pk=cast.links["owner"].pk).revoked_at == AT


def test_two_coordinators_who_dismiss_one_another_leave_one(cast):
    second = actions.add_member(
        cast.project,
        cast.visitor("coordinator"),
        AT,
        person=cast.people["crew"],
        company=cast.companies["supplier"],
        role="coordinator",
    )
    first = Membership.objects.get(role="coordinator", person=cast.people["coordinator"])
    one, other = cast.visitor("coordinator"), cast.visitor("crew")
    ends = at_once(
        lambda: actions.end_membership(cast.project, one, AT, second.uid),
        lambda: actions.end_membership(cast.project, other, AT, first.uid),
    )
    assert kinds(ends) in (["NoLongerStanding", "NoneType"], ["CannotLeave", "NoneType"])
    assert {NoLongerStanding.__name__, CannotLeave.__name__} >= set(kinds(ends)) - {"NoneType"}
    assert Membership.objects.filter(role="coordinator", left_at__isnull=True).count() == 1


def test_who_is_dismissed_while_deciding_is_either_first_or_refused(cast):
    """The dismissal waits at the lock for the decision, or the decision is refused; never both and never neither."""
    framer, coordinator = cast.visitor("framer"), cast.visitor("coordinator")

    def decide():
        with deciding(cast.project, framer, AT) as pen:
            pen.write("work begun", subject="x", body={})

    ends = at_once(
        decide,
        lambda: actions.end_membership(cast.project, coordinator, AT, cast.memberships["framer"].uid),
    )
    verbs = list(
        Event.objects.filter(stream=cast.project.stream).order_by("-seq").values_list("verb", flat=True)[:2]
    )
    assert ends[1] is None
    if ends[0] is None:
        assert verbs == ["member left", "work begun"]
    else:
        assert (type(ends[0]), verbs[0]) == (NoLongerStanding, "member left")
    with pytest.raises(NoLongerStanding):
        decide()
