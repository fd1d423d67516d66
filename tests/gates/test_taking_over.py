"""Beginning counts as acceptance only after a tick of that sentence, in one decision, and never over hidden work."""

import uuid
from dataclasses import replace

import pytest

from coordination.gates import actions
from coordination.gates.models import Answer
from coordination.gates.queries import look_at
from coordination.gates.refusals import OwnWork, TaskHeld
from coordination.gates.rules import check_rules
from coordination.gates.taking_over import begins_with, takeable
from coordination.record.models import Chain
from coordination.record.queries import newest
from coordination.siteprep.plan import Link
from tests.gates.sites import BACKING, JOB, RAILS, TEXTED, Site, build

LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
HIDES = replace(
    JOB,
    links=tuple(
        replace(link, kind="covers") if (link.before, link.after) == (BACKING.key, RAILS.key) else link
        for link in JOB.links
    ),
)


def offered(site: Site, by: str = "framer", **more):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return site.offer(BACKING.key, by, **more)


def length(site: Site) -> int:
    return Chain.objects.get(stream=site.project.stream).length


def test_without_the_tick_it_is_refused_and_nothing_is_accepted(site):
    offered(site)
    before = length(site)
    with pytest.raises(TaskHeld) as refusal:
        site.start(RAILS.key, "crew")
    assert [item.kind for item in refusal.value.missing] == ["handoff not answered"]
    assert (Answer.objects.count(), length(site), site.task(RAILS.key).begun_on) == (0, before, None)


def test_with_the_tick_acceptance_and_begin_are_one_decision(site):
    offer = offered(site)
    before = length(site)
    site.start(RAILS.key, "crew", taking_over=[offer.uid])
    row, told = Answer.objects.get(), newest(site.project.stream, most=1)[0]
    assert length(site) == before + 1
    assert (row.outcome, row.way, row.answered_name, row.event.seq) == (
        *("accepted", "by beginning", "Lou Becker"),
        told.seq,
    )
    assert (told.verb, told.body["takes_over"]) == (
        "work begun",
        [{"offer": str(offer.uid), "round": 1, "work": BACKING.key}],
    )
    assert site.task(RAILS.key).begun_on == site.at.date()
    assert check_rules(site.project, site.at) == []


def test_twice_is_one_decision(site):
    offer = offered(site)
    for _press in range(2):
        site.start(RAILS.key, "crew", taking_over=[offer.uid])
    assert Answer.objects.count() == 1


@pytest.mark.parametrize("ticked", [[], [uuid.uuid4()]])
def test_the_tick_is_for_the_offer_that_was_seen(site, ticked):
    """A page that was open while the work went back and came again takes nothing over unseen."""
    first = offered(site)
    site.answer(first, RAILS.key, "crew", "refused", "anchor side is open")
    site.offer(BACKING.key, "framer")
    with pytest.raises(TaskHeld):
        site.start(RAILS.key, "crew", taking_over=[*ticked, first.uid])
    assert site.task(RAILS.key).begun_on is None


def test_covering_work_never_accepts_by_beginning(db):
    """It must be accepted first: also where the covers-link is the handoff, and whoever ticks."""
    site = build(derived=HIDES)
    offer = offered(site)
    site.review(LEFT, "contractor"), site.review(SPREAD, "coordinator")
    scene = look_at(site.project, site.at)
    rails = scene.holding.task_by_key[RAILS.key]
    assert (takeable(scene, rails), begins_with(scene, rails)) == ((), ())
    with pytest.raises(TaskHeld) as refusal:
        site.start(RAILS.key, "crew", taking_over=[offer.uid])
    assert [item.kind for item in refusal.value.missing] == ["handoff not answered"]
    site.answer(offer, RAILS.key, "crew")
    site.start(RAILS.key, "crew")
    assert check_rules(site.project, site.at) == []


def test_a_second_link_between_the_two_that_hides_keeps_it_out_as_well(db):
    site = build(derived=replace(JOB, links=(*JOB.links, Link(BACKING.key, RAILS.key, "covers"))))
    offer = offered(site)
    with pytest.raises(TaskHeld):
        site.start(RAILS.key, "crew", taking_over=[offer.uid])
    assert Answer.objects.count() == 0


def test_whatever_else_is_missing_still_holds_it_and_nothing_is_taken_over(site):
    offer = offered(site)
    site.review(LEFT, "contractor", "refused", "too dark")
    with pytest.raises(TaskHeld) as refusal:
        site.start(RAILS.key, "crew", taking_over=[offer.uid])
    assert [item.kind for item in refusal.value.missing] == ["refused"]
    assert Answer.objects.count() == 0


def test_what_a_page_offers_to_tick_is_all_that_still_keeps_it_from_beginning(site):
    scene = look_at(site.project, site.at)
    assert begins_with(scene, scene.holding.task_by_key[RAILS.key]) == ()
    offer = offered(site)
    scene = look_at(site.project, site.at)
    rails = scene.holding.task_by_key[RAILS.key]
    assert [each.offer.uid for each in begins_with(scene, rails)] == [offer.uid]
    site.answer(offer, RAILS.key, "crew")
    scene = look_at(site.project, site.at)
    assert begins_with(scene, scene.holding.task_by_key[RAILS.key]) == ()


def test_nobody_takes_over_their_own_lift_critical_offer_by_beginning(site):
    offer = offered(site, "contractor", for_other=TEXTED)
    with pytest.raises(OwnWork):
        site.start(RAILS.key, "contractor", taking_over=[offer.uid], for_other=TEXTED)
    assert (Answer.objects.count(), site.task(RAILS.key).begun_on) == (0, None)


def test_whoever_begins_for_another_company_takes_over_for_it_too(site):
    offer = offered(site)
    site.start(RAILS.key, "coordinator", taking_over=[offer.uid], for_other=TEXTED)
    row = Answer.objects.get()
    assert (row.entered_for, row.entry_source, row.way) == (
        *("Low Rise Lift Supply", "texted photo"),
        "by beginning",
    )


def test_a_link_without_account_takes_over_only_its_own_company_s_work(site):
    offer = offered(site)
    by_link = site.cast.by_link("electrician", site.at)
    with pytest.raises(PermissionError):
        actions.start_task(
            site.project, by_link, site.step(), site.task(RAILS.key).uid, taking_over=[offer.uid]
        )
    assert Answer.objects.count() == 0
