"""Facts and changes of plan, two at once on real databases, with a barrier between guard and write."""

import threading

import pytest
from django.db import connections

from coordination.access.deciding import deciding
from coordination.projects import deriving
from coordination.projects.actions import FactInput, enter_facts
from coordination.projects.models import FactEntry, PlanChange, PlanRevision
from coordination.projects.queries import standing_facts, standing_plan
from coordination.projects.refusals import ChangeGone
from coordination.record.models import Event
from coordination.record.verification import Verified, verify_all
from tests.projects.conftest import accept, lay
from tests.projects.small_plans import FIRST, POUR, task, with_task
from tests.standing_cast import AT, gather

HEAVIER = with_task(FIRST, task(POUR.key, "concrete", 5))
HEAVIEST = with_task(FIRST, task(POUR.key, "concrete", 9))


@pytest.fixture
def cast(real_database):
    return gather()


def held_up(first, second):
    """Run ``first(inside)``, which calls ``inside()`` within its block; ``second`` starts then, and waits.

    Gives how each ended, and what had ended when the first left its block.
    """
    begun, ends, order = threading.Event(), {}, []

    def inside():
        begun.set()
        threading.Event().wait(0.4)
        order.append("first leaves its block")

    def run(name, work):
        try:
            work()
            ends[name] = None
        except Exception as error:
            ends[name] = error
        finally:
            order.append(f"{name} ended")
            connections.close_all()

    def run_second():
        begun.wait(10)
        run("second", second)

    threads = [
        threading.Thread(target=run, args=("first", lambda: first(inside))),
        threading.Thread(target=run_second),
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert order[0] == "first leaves its block"
    return ends["first"], ends["second"]


def accepting(cast, change, inside=lambda: None):
    from coordination.projects.applying import apply_change

    with deciding(cast.project, cast.visitor("coordinator"), AT) as pen:
        still_open = PlanChange.objects.filter(pk=change.pk, state="open").exists()
        inside()
        event = pen.write("plan accepted", subject="plan", body={"was open": still_open})
        return apply_change(cast.project, change, event)


def test_of_two_who_accept_one_change_one_is_told_that_it_is_gone(cast, derivation):
    change = lay(cast, derivation, FIRST)
    first, second = held_up(lambda inside: accepting(cast, change, inside), lambda: accepting(cast, change))
    assert (first, type(second)) == (None, ChangeGone)
    assert (PlanRevision.objects.count(), Event.objects.filter(verb="plan accepted").count()) == (1, 1)


def test_a_new_fact_while_a_change_is_accepted_is_laid_beside_what_was_accepted(cast, derivation):
    accept(cast, lay(cast, derivation, FIRST))
    change = lay(cast, derivation, HEAVIER)
    first, second = held_up(
        lambda inside: accepting(cast, change, inside), lambda: lay(cast, derivation, HEAVIEST)
    )
    assert (first, second) == (None, None)
    assert standing_plan(cast.project) == HEAVIER
    newest = PlanChange.objects.get(state="open")
    assert (newest.base.number, newest.derived) == (2, HEAVIEST.as_json())
    assert newest.summary["altered"] == [
        {"key": POUR.key, "old_key": POUR.key, "fields": ["duration"], "requirements": []}
    ]


def test_a_change_that_a_new_fact_replaces_meanwhile_cannot_be_accepted(cast, derivation, monkeypatch):
    accept(cast, lay(cast, derivation, FIRST))
    change = lay(cast, derivation, HEAVIER)

    def entering(inside):
        monkeypatch.setattr(deriving, "plan_of", lambda facts: inside() or HEAVIEST)
        said = {"pit.sump_recess": FactInput(typed='20"')}
        enter_facts(cast.project, cast.visitor("coordinator"), AT, said)

    first, second = held_up(entering, lambda: accepting(cast, change))
    assert (first, type(second)) == (None, ChangeGone)
    assert (standing_plan(cast.project), PlanRevision.objects.count()) == (FIRST, 1)
    assert {type(answer) for answer in verify_all()} == {Verified}


def test_two_who_state_one_fact_at_once_are_both_kept_in_order(cast, derivation, monkeypatch):
    inside_first = []

    def entering(typed, inside=lambda: None):
        def plan_of(facts):
            if inside_first and inside_first.pop():
                inside()
            return FIRST

        monkeypatch.setattr(deriving, "plan_of", plan_of)
        said = {"pit.depth": FactInput(typed=typed)}
        enter_facts(cast.project, cast.visitor("coordinator"), AT, said)

    inside_first.append(True)
    ends = held_up(lambda inside: entering('14"', inside), lambda: entering('16"'))
    assert ends == (None, None)
    assert list(FactEntry.objects.order_by("seq").values_list("seq", "typed")) == [(1, '14"'), (2, '16"')]
    assert standing_facts(cast.project)["pit.depth"].typed == '16"'
    assert PlanChange.objects.filter(state="open").count() == 1
