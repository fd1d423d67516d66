"""The solver on routes: it proves what every route tried one by one shows, and hands over nothing the checker refuses."""

from dataclasses import replace

from hypothesis import assume, given, settings

from coordination.scheduling.levelling.route_checker import route_cost, route_faults
from coordination.scheduling.levelling.route_search import level_routes
from coordination.scheduling.levelling.route_solver import RouteSolver
from tests.scheduling.levelling.test_routes import day, jobs, problems

PATIENCE = 60


def proven(problem, known):
    solver = RouteSolver(problem, known, seed=1, seconds=PATIENCE)
    solver.wait(PATIENCE)
    return solver.finish()


@settings(max_examples=15, deadline=None)
@given(problems())
def test_what_is_proved_is_a_route_and_no_search_is_under_it(problem):
    assume(len(problem.network.tasks) <= 6)
    problem = replace(problem, weights={key: 1 + weight for key, weight in problem.weights.items()})
    known = level_routes(problem, lambda: True, moves=40)
    found = proven(problem, known)
    assert found.optimal
    assert route_faults(problem, found.route.starts, found.route.crews) == ()
    assert route_cost(problem, found.route.starts, found.route.crews).late == found.bound <= known.cost.late
    assert level_routes(problem, lambda: True, seed=2, moves=300).cost.late >= found.bound


def test_a_proof_where_the_crew_has_to_choose():
    """One crew, two jobs of 3 and 2 days due at once, a day on the road between: by hand, the short one first.

    Short first: it ends on day 1, one day late; then the road, Friday closed, weekend: the long one ends on day 8,
    eight days late. Long first: days 0 to 2, two late, the road, the short one on days 7 and 8, eight late. 9 < 10.
    """
    problem = jobs(("A", 3), ("B", 2), travel=1)
    known = level_routes(problem, lambda: False)
    found = proven(problem, known)
    assert (found.bound, found.optimal) == (9, True)
    assert found.route.starts == {"A": day(3), "B": day(0)}


def test_work_that_stands_and_crews_that_are_sent_already_stay_so():
    problem = jobs(("A", 3), ("B", 2), crews=("one", "two"), fixed={"A": day(1)}, assigned={"A": ("two",)})
    found = proven(problem, level_routes(problem, lambda: False))
    assert (found.route.starts["A"], found.route.crews["A"]) == (day(1), ("two",))
    assert found.optimal


def test_too_many_jobs_and_standing_work_that_contradicts_itself_are_left_to_the_search():
    many = jobs(*((f"{letter}{n}", 2) for letter in "ABCDE" for n in range(9)))
    assert proven(many, level_routes(many, lambda: False)) is None
    clash = jobs(("A", 3), ("B", 2), fixed={"A": day(1), "B": day(1)})
    assert proven(clash, level_routes(clash, lambda: False)) is None


def test_stopped_at_once_it_ends_and_invents_nothing():
    problem = jobs(*((f"{letter}{n}", 2) for letter in "ABCDE" for n in range(6)), travel=1)
    known = level_routes(problem, lambda: False)
    found = RouteSolver(problem, known, seed=1, seconds=PATIENCE).finish()
    assert found is None or found.bound <= known.cost.late
