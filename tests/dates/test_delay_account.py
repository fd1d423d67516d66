"""As planned against as built, read from baselines and the record of the small job."""

import uuid
from datetime import timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible, Reason
from coordination.dates.actions import ask_for_baseline
from coordination.dates.baselines import network_of_baseline
from coordination.dates.delay_account import delay_account
from coordination.dates.delay_causes import CauseInput, enter_cause, take_cause_back
from coordination.dates.models import Baseline, DelayCause
from coordination.dates.queries import schedule_of
from coordination.dates.refusals import CauseRefused
from coordination.projects.actions import FactInput, answer_question
from coordination.projects.models import Question
from coordination.record.models import Event
from tests.gates.sites import BACKING, RAILS, Site, build
from tests.standing_cast import AT, NOBODYS, gather

pytestmark = pytest.mark.django_db
START = AT.astimezone(ZoneInfo("America/New_York")).date()  # a Monday
BACK = BACKING.key


@pytest.fixture
def site() -> Site:
    site = build()
    site.state("calendar.start", START.isoformat())
    ask_for_baseline(site.project, site.who("contractor"), site.step(), reason="agreed", today=START)
    return site


def day(number):
    return START + timedelta(days=number)


def causes(window):
    """Kind, subject, party, own days and share of each cause."""
    shares = {share.cause: share.share for share in window.account.causes}
    return sorted((b.kind, b.subject, b.party, b.days, shares.get(b.key, Fraction(0))) for b in window.behind)


def test_without_a_baseline_there_is_nothing_to_compare():
    found = delay_account(build().project, START)
    assert (found.windows, found.gates, found.planned, found.slip) == ((), (), None, 0)


def test_a_baseline_keeps_its_network(site):
    kept = network_of_baseline(Baseline.objects.get())
    now = schedule_of(site.project, START).schedule.network
    assert (kept.tasks, kept.links, kept.start) == (now.tasks, now.links, now.start)


def test_nothing_happened_nothing_moved(site):
    found = delay_account(site.project, START)
    assert (len(found.windows), found.slip) == (0, 0)
    assert found.planned == found.expected
    assert [(gate.planned == gate.now, gate.cleared) for gate in found.gates] == [(True, False)] * 2


def test_work_that_begins_late_lies_with_its_company_and_what_follows_does_not(site):
    (window,) = delay_account(site.project, day(7)).windows
    found = {(kind, subject): (party, days) for kind, subject, party, days, _ in causes(window)}
    assert found["began later", BACK] == ("company:Copper Creek Framing", 5)
    assert ("began later", RAILS.key) not in found
    assert window.account.left == 0
    assert sum(share.share for share in window.account.causes) == window.account.progress == window.slip > 0
    assert sum(share.share for share in window.account.parties) == window.slip


def test_entered_weather_comes_before_the_pace_of_the_work(site):
    rain = CauseInput(BACK, "weather", day(0), 2, "Rain on the open frame")
    enter_cause(site.project, site.who("contractor"), site.at + timedelta(days=7), rain)
    (window,) = delay_account(site.project, day(7)).windows
    found = [(kind, party, days) for kind, subject, party, days, _ in causes(window) if subject == BACK]
    assert found == [("began later", "company:Copper Creek Framing", 3), ("weather", "", 2)]


def test_a_refusal_and_a_long_job_are_told_apart(site):
    site.start(BACK, "framer")
    site.photo(f"{BACK}#left", "framer")
    site.read(f"{BACK}#spread", "framer", '30"')
    site.step(days=2)
    site.offer(BACK, "framer")
    site.review(f"{BACK}#left", "contractor", "refused", "too dark")
    (window,) = delay_account(site.project, day(9)).windows
    found = {kind: (party, days) for kind, subject, party, days, _ in causes(window) if subject == BACK}
    assert found["refused work"][0] == "company:Copper Creek Framing"
    assert found["refused work"][1] >= 1
    assert sum(days for _party, days in found.values()) > 0


def test_an_answer_that_was_waited_for_lies_with_who_decides(site):
    """The sump's question belongs to no task of the small job; here the backing waits for it."""
    waiting = {"tasks": [BACK], "text": {"en": "Sump?"}}
    Question.objects.create(project=site.project, fact="pit.sump", derived=waiting, decides="contractor")
    said = FactInput(typed="no", said_by="Town plumbing inspector", source="letter")
    site.step(days=3)
    answer_question(site.project, site.who("contractor"), site.step(), "pit.sump", said)
    (window,) = delay_account(site.project, day(7)).windows
    found = {
        kind: (subject, party, days)
        for kind, subject, party, days, _ in causes(window)
        if subject in (BACK, "pit.sump")
    }
    assert found == {
        "late answer": ("pit.sump", "company:Tern Hill Builders", 3),
        "began later": (BACK, "company:Copper Creek Framing", 2),
    }


def test_an_acceptance_that_was_waited_for_lies_with_who_gave_it(site):
    """The rails wait for the backing, which the crew takes over two days after it was passed on."""
    for key in ("left", "spread"):
        assert site.need(f"{BACK}#{key}")
    site.start(BACK, "framer")
    site.photo(f"{BACK}#left", "framer")
    site.read(f"{BACK}#spread", "framer", '30"')
    offer = site.offer(BACK, "framer")
    site.review(f"{BACK}#left", "contractor")
    site.review(f"{BACK}#spread", "coordinator")
    ended = site.task(BACK).finished_on
    site.step(days=3)
    site.answer(offer, RAILS.key, "crew")
    (window,) = delay_account(site.project, day(7)).windows
    found = {
        kind: (party, days)
        for kind, subject, party, days, _ in causes(window)
        if subject in (BACK, RAILS.key)
    }
    assert ended == START
    assert found["late acceptance"][0] == "company:Low Rise Lift Supply"
    assert found["late acceptance"][1] >= 2


def test_windows_follow_each_other_and_add_up_to_the_whole(site):
    for number, days in enumerate((3, 4), 1):
        site.step(days=days)
        local = site.at.astimezone(ZoneInfo(site.project.zone)).date()
        ask_for_baseline(
            site.project, site.who("contractor"), site.step(), reason=f"week {number}", today=local
        )
    found = delay_account(site.project, day(10))
    assert [window.baseline for window in found.windows] == ["agreed", "week 1", "week 2"]
    assert [window.account.begin for window in found.windows][1:] == [w.account.end for w in found.windows][
        :-1
    ]
    assert sum(window.slip for window in found.windows) == found.slip
    assert sum(days for _party, days in found.parties) == found.slip - sum(
        w.account.logic + w.account.left for w in found.windows
    )


def test_a_cause_is_entered_once_and_can_be_taken_back(site):
    uid, told = uuid.uuid4(), CauseInput(BACK, "weather", START, 2, " Rain ")
    who = site.who("contractor")
    for _press in (1, 2):
        row = enter_cause(site.project, who, site.at, told, uid=uid)
    assert (row.words, row.days, DelayCause.objects.count()) == ("Rain", 2, 1)
    for _press in (1, 2):
        assert take_cause_back(site.project, who, site.at, uid).taken_back_at == site.at
    verbs = Event.objects.filter(stream=site.project.stream, verb__startswith="delay").values_list(
        "verb", flat=True
    )
    assert list(verbs) == ["delay entered", "delay taken back"]
    other = gather("other.")
    with pytest.raises(NotVisible):
        take_cause_back(other.project, other.visitor("contractor"), AT, uid)
    with pytest.raises(NotVisible):
        take_cause_back(site.project, who, site.at, NOBODYS)


def test_everything_wrong_with_a_cause_is_named(site):
    with pytest.raises(CauseRefused) as refusal:
        enter_cause(
            site.project, site.who("contractor"), site.at, CauseInput("x@pit", "hail", day(9), 0, " ")
        )
    assert refusal.value.reasons == (
        Reason("cause without a task"),
        Reason("cause of no kind"),
        Reason("cause days out of range"),
        Reason("cause without words"),
        Reason("cause lies ahead", {"day": day(9).isoformat()}),
    )
    for name in ("crew", "electrician", "owner"):
        with pytest.raises(NotAllowed):
            enter_cause(site.project, site.who(name), site.at, CauseInput(BACK, "weather", START, 1, "x"))
    assert not DelayCause.objects.exists()
