"""Random small networks with calendars, all kinds of links, both units of lag, due dates and progress."""

from datetime import date, timedelta

from hypothesis import strategies as st

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.network import Link, Network, Task

FIRST = date(2025, 10, 1)
START = date(2026, 3, 2)  # a Monday
CALENDARS = {
    "site": WorkCalendar(
        FIRST, 900, closed=frozenset({date(2026, 3, 6), date(2026, 3, 9), date(2026, 3, 20)})
    ),
    "every day": WorkCalendar(FIRST, 900, EVERY_DAY),
    "six days": WorkCalendar(FIRST, 900, frozenset(range(6)), opened=frozenset({date(2026, 3, 15)})),
    "two days": WorkCalendar(FIRST, 900, frozenset({1, 3})),
    "weekend": WorkCalendar(FIRST, 900, frozenset({5, 6})),
}
names = st.sampled_from(sorted(CALENDARS))
days = st.integers(-10, 25).map(lambda n: START + timedelta(days=n))


@st.composite
def links_between(draw, before, after):
    unit = draw(st.sampled_from(["working", "calendar"]))
    return Link(
        before,
        after,
        draw(st.sampled_from(["FS", "FS", "SS", "FF", "SF"])),
        draw(st.integers(-2, 3)),
        unit,
        draw(st.none() | names) if unit == "working" else None,
    )


@st.composite
def networks(draw, due=False, progress=False, largest=6):
    keys = [f"t{n}" for n in range(draw(st.integers(2, largest)))]
    start = START + timedelta(days=draw(st.integers(0, 6)))
    data_date = start + timedelta(days=draw(st.integers(0, 12))) if progress else None
    tasks = []
    for key in keys:
        task = Task(
            key,
            draw(st.sampled_from([0, 1, 1, 2, 3, 5])),
            draw(names),
            not_before=draw(st.none() | days),
            due=draw(st.none() | days) if due else None,
        )
        tasks.append(draw(with_progress(task, data_date)) if progress else task)
    pairs = [(a, b) for n, b in enumerate(keys) for a in keys[:n]]
    chosen = draw(st.lists(st.sampled_from(pairs), max_size=2 * len(keys)))
    links = [draw(links_between(a, b)) for a, b in chosen]
    shuffled = draw(st.permutations(tasks))
    order = draw(st.sampled_from(["retained", "override"]))
    return Network(tuple(shuffled), tuple(links), CALENDARS, start, data_date, order)


@st.composite
def with_progress(draw, task, data_date):
    state = draw(st.sampled_from(["to come", "to come", "begun", "finished"]))
    if state == "to come":
        return task
    started = data_date - timedelta(days=draw(st.integers(0, 8)))
    given = {name: getattr(task, name) for name in ("key", "duration", "calendar", "not_before", "due")}
    if state == "begun":
        return Task(**given, started=started, remaining=draw(st.integers(0, max(task.duration, 1))))
    return Task(
        **given,
        started=started,
        finished=started + timedelta(days=draw(st.integers(0, (data_date - started).days))),
    )
