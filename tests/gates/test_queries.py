"""Standings of many projects in a constant number of queries."""

import pytest

from coordination.gates.queries import assessment, clearings, look_at, scenes, standings
from tests.gates.sites import build

QUERIES = 21


@pytest.mark.parametrize("count", [1, 3])
def test_standings_cost_the_same_at_one_and_at_three_projects(db, django_assert_num_queries, count):
    sites = [build(f"{n}-") for n in range(count)]
    sites[0].signed()
    sites[0].clear("close-in")
    projects = [site.project for site in sites]
    with django_assert_num_queries(QUERIES):
        found = standings(projects, sites[0].at)
    assert sorted(found) == sorted(project.pk for project in projects)


def test_judging_what_was_loaded_asks_the_database_nothing(site, django_assert_num_queries):
    site.signed()
    site.clear("close-in")
    scene = scenes([site.project], site.at)[site.project.pk]
    with django_assert_num_queries(0):
        assert scene.assessment.gates["handover"].state == "ready to clear"
        assert [view.round for view in clearings(scene, scene.holding.gate_by_key["close-in"])] == [1]


def test_several_projects_are_judged_as_each_alone(db):
    sites = [build("one-"), build("two-")]
    sites[0].ready()
    sites[1].back()
    both = scenes([site.project for site in sites], sites[0].at)
    for site in sites:
        assert both[site.project.pk].assessment == assessment(site.project, sites[0].at)
        assert both[site.project.pk].standing == look_at(site.project, sites[0].at).standing
