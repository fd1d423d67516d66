"""Published networks, row by row. Times are days of a calendar without holidays, counted from 0.

Floats that a source does not print were recomputed independently (longest paths, perturbation) and say so.
"""

from datetime import date, timedelta
from itertools import product

import pytest

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.network import Link, Network, Task

DAY_0 = date(2026, 1, 1)
CALENDARS = {"units": WorkCalendar(DAY_0 - timedelta(days=200), 600, EVERY_DAY)}


def answer_for(durations, links):
    tasks = tuple(Task(key, duration, "units") for key, duration in durations.items())
    return schedule(Network(tasks, tuple(links), CALENDARS, DAY_0))


def lengths(text):
    """ "A2 B3" as durations by task."""
    return {word[0]: int(word[1:]) for word in text.split()}


def after(text):
    """ "B:A C:B" as finish-to-start links."""
    return [
        Link(before, line.split(":")[0]) for line in text.split() for before in line.split(":")[1].split(",")
    ]


def number(day):
    return (day - DAY_0).days


def rows(answer):
    """ES EF LS LF TF FF by task."""
    return {
        key: (
            number(d.early_start),
            number(d.early_boundary),
            number(d.late_start),
            number(d.late_boundary),
            d.total_float,
            d.free_float,
        )
        for key, d in answer.tasks.items()
    }


def floats(answer):
    return [d.total_float for d in answer.tasks.values()]


def free_floats(answer):
    return {key: d.free_float for key, d in answer.tasks.items() if d.free_float}


def test_fourteen_activity_house():
    """Hillier and Lieberman, Introduction to Operations Research, construction chapter, weeks.

    As reprinted in arikanatakan/pmcontrols, tests/validation_cases.json, case cpm-reliable-construction-006.
    Free floats recomputed.
    """
    answer = answer_for(
        lengths("A2 B4 C10 D6 E4 F5 G7 H9 I7 J8 K4 L5 M2 N6"),
        after("B:A C:B D:C E:C F:E G:D H:E,G I:C J:F,I K:J L:J M:H N:K,L"),
    )
    assert rows(answer) == {
        "A": (0, 2, 0, 2, 0, 0),
        "B": (2, 6, 2, 6, 0, 0),
        "C": (6, 16, 6, 16, 0, 0),
        "D": (16, 22, 20, 26, 4, 0),
        "E": (16, 20, 16, 20, 0, 0),
        "F": (20, 25, 20, 25, 0, 0),
        "G": (22, 29, 26, 33, 4, 0),
        "H": (29, 38, 33, 42, 4, 0),
        "I": (16, 23, 18, 25, 2, 2),
        "J": (25, 33, 25, 33, 0, 0),
        "K": (33, 37, 34, 38, 1, 1),
        "L": (33, 38, 33, 38, 0, 0),
        "M": (38, 40, 42, 44, 4, 4),
        "N": (38, 44, 38, 44, 0, 0),
    }
    assert (number(answer.end), answer.critical_chain) == (44, tuple("ABCEFJLN"))
    assert {key for key, d in answer.tasks.items() if d.critical} == set("ABCEFJLN")


def test_eight_activities():
    """Render, Stair and Hanna, Quantitative Analysis for Management, weeks.

    As reprinted in arikanatakan/pmcontrols, tests/validation_cases.json, case cpm-general-foundry-001.
    Free floats recomputed.
    """
    answer = answer_for(lengths("A2 B3 C2 D4 E4 F3 G5 H2"), after("C:A D:B E:C F:C G:D,E H:F,G"))
    assert (number(answer.end), answer.critical_chain) == (15, tuple("ACEGH"))
    assert floats(answer) == [0, 1, 0, 1, 0, 6, 0, 0]
    assert free_floats(answer) == {"D": 1, "F": 6}


CRASHES = {
    "A": (1000, 1),
    "B": (2000, 2),
    "C": (1000, 1),
    "D": (1000, 1),
    "E": (1000, 2),
    "F": (500, 1),
    "G": (2000, 3),
    "H": (3000, 1),
}


@pytest.mark.parametrize(("weeks", "cost"), [(14, 1000), (13, 3000)])
def test_least_cost_of_shortening_eight_activities(weeks, cost):
    """Same source, case crash-general-foundry-001: found here by trying every combination of weeks bought."""
    durations = lengths("A2 B3 C2 D4 E4 F3 G5 H2")
    links = after("C:A D:B E:C F:C G:D,E H:F,G")
    costs = []
    for bought in product(*(range(limit + 1) for _, limit in CRASHES.values())):
        price = sum(count * CRASHES[key][0] for key, count in zip(CRASHES, bought, strict=True))
        if price <= cost:
            shorter = {key: durations[key] - count for key, count in zip(CRASHES, bought, strict=True)}
            if number(answer_for(shorter, links).end) <= weeks:
                costs.append(price)
    assert min(costs) == cost


def test_all_four_kinds_of_link():
    """Worked question 3430383333333139 on askfilo.com: data and forward dates printed; late dates and floats recomputed."""
    answer = answer_for(
        lengths("A7 B12 C8 E3 F6 G5 H5 I3 K4 M2 N5 P6"),
        [
            Link("A", "B"),
            Link("A", "C", "SS", 2),
            Link("A", "E"),
            Link("B", "K", "FS", 3),
            Link("C", "F"),
            Link("E", "G", "FS", 5),
            Link("F", "K"),
            Link("F", "H"),
            Link("G", "H"),
            Link("G", "I", "SF", 10),
            Link("K", "M"),
            Link("H", "M"),
            Link("H", "N", "FF", 4),
            Link("I", "N"),
            Link("M", "P"),
            Link("N", "P"),
        ],
    )
    assert rows(answer) == {
        "A": (0, 7, 0, 7, 0, 0),
        "B": (7, 19, 9, 21, 2, 0),
        "C": (2, 10, 7, 15, 5, 0),
        "E": (7, 10, 7, 10, 0, 0),
        "F": (10, 16, 15, 21, 5, 4),
        "G": (15, 20, 15, 20, 0, 0),
        "H": (20, 25, 21, 26, 1, 1),
        "I": (22, 25, 22, 25, 0, 0),
        "K": (22, 26, 24, 28, 2, 0),
        "M": (26, 28, 28, 30, 2, 2),
        "N": (25, 30, 25, 30, 0, 0),
        "P": (30, 36, 30, 36, 0, 0),
    }
    assert (number(answer.end), answer.critical_chain) == (36, tuple("AEGINP"))


def test_fourteen_activities_with_start_to_start_links():
    """University course page "Network Construction - Precedence Diagram Method": data printed, answers recomputed."""
    answer = answer_for(
        lengths("A2 B10 C13 D12 E12 F7 G10 H16 I6 J12 K5 L8 M5 N3"),
        [
            *after("C:A D:A E:B F:B G:D H:D I:F J:C L:E,I,K M:H N:G,J,L,M"),
            Link("A", "B", "SS"),
            Link("G", "J", "SS"),
            Link("I", "K", "SS"),
        ],
    )
    assert (number(answer.end), answer.critical_chain) == (38, tuple("ADHMN"))
    assert floats(answer) == [0, 4, 8, 0, 5, 4, 9, 0, 4, 8, 5, 4, 0, 0]
    assert free_floats(answer) == {"E": 1, "G": 1, "J": 8, "K": 1, "L": 4}


def test_seventeen_activities():
    """Vanhoucke 2014, p. 6, as cited in cran/criticalpath, tests/testthat/test-cpt-schedule_from_data_frame.R.

    Floats recomputed.
    """
    lengths = [1, 2, 2, 4, 3, 3, 3, 2, 1, 1, 2, 1, 1, 1, 1, 2, 1]
    pairs = (
        "1-2 1-3 2-4 2-5 2-6 3-7 3-8 3-9 3-10 4-11 5-11 6-11 7-12 8-13 9-14 10-15 11-16 11-17 12-16 12-17 "
        "13-16 13-17 14-16 14-17 15-16 15-17"
    )
    answer = answer_for(
        {str(n): length for n, length in enumerate(lengths, 1)},
        [Link(*pair.split("-")) for pair in pairs.split()],
    )
    assert (number(answer.end), answer.critical_chain) == (11, ("1", "2", "4", "11", "16"))
    assert floats(answer) == [0, 0, 2, 0, 1, 1, 2, 3, 4, 4, 0, 2, 3, 4, 4, 0, 1]


@pytest.mark.parametrize(
    ("arrows", "end", "slack"),
    [
        ("1-2:7 1-3:10 2-4:6 3-4:5 3-5:4 4-5:3 5-6:2", 20, [2, 0, 2, 0, 4, 0, 0]),
        (
            "1-2:8 1-3:10 1-4:9 2-5:6 2-6:4 3-5:5 4-5:0 4-7:7 5-7:12 5-8:15 6-9:18 7-8:4 8-9:7",
            38,
            [1, 0, 6, 1, 8, 0, 6, 11, 0, 1, 8, 0, 0],
        ),
    ],
)
def test_activities_on_arrows(arrows, end, slack):
    """Solutions to the project chapter of Taylor, Introduction to Management Science (scribd document 47113515).

    The dummy 4-5 has no length and keeps its slack of 6.
    """
    durations = {arrow.split(":")[0]: int(arrow.split(":")[1]) for arrow in arrows.split()}
    links = [Link(a, b) for a in durations for b in durations if a.split("-")[1] == b.split("-")[0]]
    answer = answer_for(durations, links)
    assert (number(answer.end), floats(answer)) == (end, slack)


def test_days_printed_from_one():
    """IBM course text, curriculum module PM10G, printed with the first instant as 1: it ends at 19."""
    answer = answer_for(lengths("A7 B3 C6 D3 E3 F2 G3 H2"), after("C:A D:B E:D,F F:B G:C H:E,G"))
    assert number(answer.end) + 1 == 19
    assert {key: d.total_float for key, d in answer.tasks.items() if d.total_float} == {
        "B": 7,
        "D": 7,
        "E": 7,
        "F": 8,
    }


def test_progress_out_of_order():
    """cpmtutor.com, c11/outofsequence.html: six activities on day 10, data printed, answers recomputed."""
    remaining = {"1": 0, "2": 2, "3": 3, "4": 1, "5": 2, "6": 3}
    links = [Link(*pair) for pair in ("12", "14", "23", "45", "36", "56")]

    def end(order):
        day_10 = DAY_0 + timedelta(days=10)
        tasks = []
        for key, days in remaining.items():
            if key == "1":
                tasks.append(Task(key, 5, "units", started=DAY_0, finished=DAY_0 + timedelta(days=4)))
            elif key == "3":
                tasks.append(Task(key, 6, "units", started=DAY_0 + timedelta(days=5), remaining=days))
            else:
                tasks.append(Task(key, days, "units"))
        return number(schedule(Network(tuple(tasks), tuple(links), CALENDARS, DAY_0, day_10, order)).end)

    assert (end("retained"), end("override")) == (18, 16)


def test_calendar_primitives():
    """NumPy reference, busday_count and busday_offset (from memory, recomputed)."""
    calendar = WorkCalendar(date(2011, 1, 1), 400)
    saturdays = WorkCalendar(date(2011, 1, 1), 400, frozenset({5}))
    year = date(2011, 1, 1), date(2012, 1, 1)
    assert calendar.count(date(2011, 1, 1), date(2011, 2, 1)) == 21
    assert (calendar.count(*year), saturdays.count(*year)) == (260, 53)
    assert calendar.roll_forward(date(2011, 10, 1)) == date(2011, 10, 3)
    assert calendar.roll_forward(date(2011, 3, 20)) == date(2011, 3, 21)
    assert calendar.add(date(2011, 1, 17), 1) == date(2011, 1, 18)


@pytest.mark.parametrize(
    ("kind", "lengths_", "lag", "starts", "length"),
    [
        ("FS", (3, 3), 0, (1, 4, 7), 8),
        ("FS", (3, 3), 2, (1, 6, 9), 10),
        ("FS", (3, 3), -2, (1, 2, 5), 6),
        ("FS", (3, 5), 0, (1, 4, 9), 10),
        ("FS", (3, 5), 2, (1, 6, 11), 12),
        ("FS", (3, 5), -2, (1, 2, 7), 8),
        ("FS", (5, 3), 0, (1, 6, 9), 10),
        ("FS", (5, 3), 2, (1, 8, 11), 12),
        ("FS", (5, 3), -2, (1, 4, 7), 8),
        ("FF", (3, 3), 0, (1, 1, 4), 5),
        ("FF", (3, 3), 2, (1, 3, 6), 7),
        ("FF", (3, 5), 2, (1, 1, 6), 7),
        ("FF", (5, 3), 0, (1, 3, 6), 7),
        ("FF", (5, 3), 2, (1, 5, 8), 9),
        ("SS", (3, 3), 0, (1, 1, 4), 5),
        ("SS", (3, 3), 2, (1, 3, 6), 7),
        ("SS", (3, 5), 0, (1, 1, 6), 7),
        ("SS", (3, 5), 2, (1, 3, 8), 9),
        ("SS", (5, 3), 2, (1, 3, 6), 7),
        ("SF", (3, 3), 2, (1, 0, 3), 4),
    ],
)
def test_each_kind_of_link_alone(kind, lengths_, lag, starts, length):
    """cran/criticalpath, tests/testthat/test-cpt-early_start_finish_by_relation_type.R: Begin 1 > A > B > End 1.

    Of its 36 cases these 20, in which early and late dates are equal. The other 16 print dates before the
    project's start or finishes after its end, which this schedule never gives.
    """
    a, b = lengths_
    answer = answer_for(
        {"Begin": 1, "A": a, "B": b, "End": 1},
        [Link("Begin", "A"), Link("A", "B", kind, lag), Link("B", "End")],
    )
    printed = {
        key: (start, start + days, start, start + days)
        for key, start, days in zip(("Begin", "A", "B", "End"), (0, *starts), (1, a, b, 1), strict=True)
    }
    assert {key: row[:4] for key, row in rows(answer).items()} == printed
    assert number(answer.end) == length
