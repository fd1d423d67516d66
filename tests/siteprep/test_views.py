"""What is photographed and read: from where, by whom, with what in the picture, and how much in one visit.

A visit is one trade's work at one place on one day. Whatever of it does not have to wait for the rest may fall on the
same day, so the most that a day can ask for is looked for among work of which none comes before the other.
"""

import re
from itertools import combinations
from pathlib import Path

import networkx
import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive

CATALOGUE = load_catalogue()
JOBS = sorted((Path(__file__).parents[2] / "fixtures" / "facts").glob("*.toml"))
MOST_VIEWS = 6
AT_AN_EDGE = {"pit", "landing", "rail wall", "hoistway", "hoistway top"}
OUTSIDE = {
    "en": re.compile(
        r"landing|guard|outside|barrier|opening|doorway|lowest floor|uncut floor|firm floor|inside the building",
        re.I,
    ),
    "es": re.compile(r"piso|baranda|fuera|barrera|abertura|vano", re.I),
}
WITHIN = {
    "en": re.compile(r"\b(in|inside|into) (the )?(pit|\{hoistway\}|excavation)\b", re.I),
    "es": re.compile(r"\b(dentro de|adentro de|en) (la fosa|el \{hoistway\}|la excavación)", re.I),
}
# Nothing is open where these are done: before digging, at the truck, at the laboratory, at the bench.
NOTHING_OPEN = {"locate#marks", "pour#cylinders", "pit-strength#strength", "sprinkler-top#top-heat"}
NAMED = {
    "en": re.compile(
        r"only the named|\{lift\} crew|only with the \{lift\} mechanic|whoever does the pull", re.I
    ),
    "es": re.compile(
        r"solo (el|la) .*nombrad|equipo del \{lift\}|solo con el mecánico|de quien hace el tirón", re.I
    ),
}
# Photos that show a dimension, and whether it is a height told from the benchmark.
DIMENSIONS = {
    "receive#delivery-path": False,
    "early-sleeves#buried-sleeves": False,
    "form-pit#plate-steel": False,
    "form-pit#pit-sleeves": False,
    "sump-recess#recess-form": False,
    "pour#after-pour": True,
    "backing#backing-left": True,
    "backing#backing-right": True,
    "rail-anchors#anchor-pattern": True,
    "frame-opening#lintel": True,
    "frame-opening#sill-backing": True,
    "control-conduit#station-boxes": True,
    "pit-electric#pit-switch": False,
    "room-clear#working-space": False,
    "rails#brackets-fixed": True,
    "sprinkler-pit#pit-head": False,
    "recall-wiring#recall-relays": False,
}
TAPE = {"en": re.compile(r"\btapes?\b", re.I), "es": re.compile(r"\bcintas?\b", re.I)}
BENCHMARK = {"en": re.compile(r"benchmark", re.I), "es": re.compile(r"banco de nivel", re.I)}
# Words of a photo by which a dimension can be told from others.
TELLS_A_DIMENSION = re.compile(
    r"widths?|heights|elevation|position marked|within \d|tape (to|across|hung|along|stood)", re.I
)


def asked():
    for task in CATALOGUE.tasks.values():
        for each in task.requirements:
            if each.kind in ("photo", "reading"):
                yield f"{task.entry}#{each.key}", task, each


@pytest.mark.parametrize("language", ["en", "es"])
def test_whatever_is_taken_at_an_edge_is_taken_from_outside_the_guard(language):
    found = [
        name
        for name, task, each in asked()
        if task.place in AT_AN_EDGE and not each.authorised and name not in NOTHING_OPEN
        if not OUTSIDE[language].search(each.stand[language]) or WITHIN[language].search(each.stand[language])
    ]
    assert found == []


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_cannot_be_taken_from_there_names_who_alone_takes_it(language):
    found = [
        name
        for name, _task, each in asked()
        if each.authorised and not NAMED[language].search(each.stand[language])
    ]
    assert found == []


@pytest.mark.parametrize("language", ["en", "es"])
def test_tape_and_benchmark_are_in_the_picture_where_a_dimension_matters(language):
    words = {name: f"{each.text[language]} {each.stand[language]}" for name, _task, each in asked()}
    assert [name for name in DIMENSIONS if not TAPE[language].search(words[name])] == []
    assert [
        name for name, height in DIMENSIONS.items() if height and not BENCHMARK[language].search(words[name])
    ] == []


def test_every_photo_that_tells_a_dimension_is_known_as_one():
    telling = {
        name
        for name, _task, each in asked()
        if each.kind == "photo" and TELLS_A_DIMENSION.search(f"{each.text['en']}")
    }
    assert telling - set(DIMENSIONS) == set()


def views(task) -> int:
    return sum(each.kind == "photo" for each in task.requirements)


def most_in_a_visit(plan) -> dict[tuple[str, str], tuple[int, tuple[str, ...]]]:
    """By trade and place, the most views that one day can ask for, and the work that asks for them."""
    order = networkx.DiGraph()
    order.add_nodes_from(task.key for task in plan.tasks)
    order.add_edges_from((link.before, link.after) for link in plan.links if link.kind in ("FS", "covers"))
    follows = {key: networkx.descendants(order, key) for key in order}
    groups: dict[tuple[str, str], list] = {}
    for task in plan.tasks:
        if views(task):
            groups.setdefault((task.trade, task.place), []).append(task)
    return {key: max(_together(tasks, follows)) for key, tasks in groups.items()}


def _together(tasks, follows):
    for number in range(1, len(tasks) + 1):
        for some in combinations(tasks, number):
            if not any(b.key in follows[a.key] or a.key in follows[b.key] for a, b in combinations(some, 2)):
                yield sum(map(views, some)), tuple(task.entry for task in some)


@pytest.mark.parametrize("job", JOBS, ids=[path.stem for path in JOBS])
def test_no_trade_is_asked_for_more_than_six_views_in_one_visit(job):
    found = most_in_a_visit(derive(load_facts(job), CATALOGUE))
    assert {key: most for key, most in found.items() if most[0] > MOST_VIEWS} == {}


def test_the_fullest_visit_of_the_demo_job_is_the_electricians_in_the_machine_room():
    plan = derive(load_facts(next(path for path in JOBS if path.stem == "candle-works")), CATALOGUE)
    found = most_in_a_visit(plan)
    assert max(found.items(), key=lambda item: item[1]) == (
        ("electrical", "machine-room"),
        (6, ("disconnects", "room-light")),
    )
