"""Random small problems with calendars, all kinds of link, absences and weights, and their exact answers."""

import itertools
from datetime import date, timedelta

from hypothesis import strategies as st

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.levelling.generation import Shop
from coordination.scheduling.levelling.problem import Crew, CrewProblem
from coordination.scheduling.network import Link, Network, Task

START = date(2026, 3, 2)  # a Monday
FIRST = date(2025, 10, 1)
CALENDARS = {
    "site": WorkCalendar(FIRST, 1200, closed=frozenset({date(2026, 3, 6), date(2026, 3, 20)})),
    "every day": WorkCalendar(FIRST, 1200, EVERY_DAY),
    "two days": WorkCalendar(FIRST, 1200, frozenset({1, 3})),
}
ABSENT = {START + timedelta(days=n): 1 for n in range(10, 14)}


@st.composite
def problems(draw):
    keys = [f"t{n}" for n in range(draw(st.integers(1, 7)))]
    tasks = [
        Task(
            key,
            draw(st.sampled_from([0, 1, 2, 3, 5])),
            draw(st.sampled_from(sorted(CALENDARS))),
            due=START + timedelta(days=draw(st.integers(0, 30))),
        )
        for key in keys
    ]
    pairs = [(a, b) for n, b in enumerate(keys) for a in keys[:n]]
    links = [
        Link(
            a,
            b,
            draw(st.sampled_from(["FS", "SS", "FF", "SF"])),
            draw(st.integers(-1, 3)),
            draw(st.sampled_from(["working", "calendar"])),
        )
        for a, b in (draw(st.lists(st.sampled_from(pairs), max_size=6)) if pairs else [])
    ]
    crews = {"framing": Crew(2, ABSENT), "lift": Crew(1)}
    needs = {key: {name: draw(st.integers(0, crew.count)) for name, crew in crews.items()} for key in keys}
    weights = {key: draw(st.integers(0, 3)) for key in keys}
    return CrewProblem(Network(tuple(tasks), tuple(links), CALENDARS, START), crews, needs, weights)


def best_of_all(problem):
    """The least cost over every order of the tasks: the exact answer of a small problem."""
    shop = Shop(problem)
    return min(
        shop.cost(shop.generate(shop.in_order(order))) for order in itertools.permutations(range(shop.count))
    )


SM = """\
************************************************************************
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        1          1           4
   4        1          0
************************************************************************
REQUESTS/DURATIONS:
jobnr. mode duration  R 1  R 2
------------------------------------------------------------------------
  1      1     0       0    0
  2      1     3       2    0
  3      1     4       2    1
  4      1     0       0    0
************************************************************************
RESOURCEAVAILABILITIES:
  R 1  R 2
    3    1
************************************************************************
"""
