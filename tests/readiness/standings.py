"""Small standings to judge, and a strategy that makes large ones."""

from dataclasses import replace

from hypothesis import strategies as st

from coordination.readiness import (
    ConditionStanding,
    GateStanding,
    LinkStanding,
    Party,
    RequirementStanding,
    Standing,
    TaskStanding,
)

PARTIES = {
    "coordinator": Party("Northfork Lifts", "555-0100"),
    "contractor": Party("Copper Creek Builders", "555-0101"),
    "electrical": Party("County electrical office", "555-0102"),
    "pit.sump": Party("Copper Creek Builders", "555-0101"),
}


def need(task: str, key: str = "photo", **more: object) -> RequirementStanding:
    return RequirementStanding(key=f"{task}#{key}", task=task, kind="photo", **more)


def task(key: str, *needs: RequirementStanding, **more: object) -> TaskStanding:
    entry, _, place = key.partition("@")
    values = {
        "trade": entry,
        "place": place or "site",
        "owner": f"{entry} company",
        "phone": f"phone of {entry}",
    }
    return TaskStanding(key=key, requirements=needs, **{**values, **more})


def standing(*tasks: TaskStanding, links: tuple = (), gates: tuple = ()) -> Standing:
    return Standing(tasks, tuple(links), tuple(gates), PARTIES)


def done(key: str, **more: object) -> TaskStanding:
    return task(key, begun=True, finished=True, **more)


@st.composite
def needs(draw: st.DrawFn, key: str) -> tuple[RequirementStanding, ...]:
    count = draw(st.integers(0, 2))
    return tuple(
        need(
            key,
            f"r{index}",
            accepts=draw(st.sampled_from([None, "contractor"])),
            outcome=draw(st.sampled_from(["none", "handed in", "accepted", "refused"])),
            in_tolerance=draw(st.sampled_from([None, True, False])),
            conceded=draw(st.booleans()),
            released=draw(st.booleans()),
            release=draw(st.sampled_from([None, "electrical"])),
            concede=draw(st.sampled_from([(), ("coordinator",)])),
        )
        for index in range(count)
    )


@st.composite
def projects(draw: st.DrawFn) -> Standing:
    """Up to six tasks at two places, every kind of link forwards, and up to two gates between them."""
    count = draw(st.integers(1, 6))
    names = [f"t{index}@{draw(st.sampled_from(['pit', 'landing-1']))}" for index in range(count)]
    tasks = []
    for name in names:
        begun = draw(st.booleans())
        tasks.append(
            task(
                name,
                *draw(needs(name)),
                begun=begun,
                finished=begun and draw(st.booleans()),
                offered_round=draw(st.integers(0, 1)),
                retired=draw(st.sampled_from([False, False, False, True])),
            )
        )
    gates = []
    for index in range(draw(st.integers(0, 2))):
        tasks.append(task(f"gate-{index}@site", is_gate=True))
        names.append(f"gate-{index}@site")
        gates.append(
            GateStanding(
                key=f"gate-{index}",
                task=f"gate-{index}@site",
                conditions=tuple(draw(st.lists(conditions(names, index), max_size=3))),
                signers=tuple(draw(st.sets(st.sampled_from(["contractor", "lift crew"])))),
                signed=frozenset(draw(st.sets(st.sampled_from(["contractor", "lift crew"])))),
                cleared=draw(st.booleans()),
                plan_settled=draw(st.booleans()),
            )
        )
    links = draw(st.lists(links_between(names), max_size=8)) if len(names) > 1 else []
    once = {(link.before, link.after, link.kind): link for link in links}
    return Standing(tuple(tasks), tuple(once.values()), tuple(gates), PARTIES)


@st.composite
def links_between(draw: st.DrawFn, names: list[str]) -> LinkStanding:
    first, second = sorted(draw(st.sets(st.integers(0, len(names) - 1), min_size=2, max_size=2)))
    return LinkStanding(
        names[first],
        names[second],
        draw(st.sampled_from(["FS", "SS", "FF", "SF", "covers"])),
        handoff=draw(st.booleans()),
        lag_open=draw(st.booleans()),
        answer=draw(st.sampled_from(["none", "accepted", "refused"])),
    )


def conditions(names: list[str], gates: int) -> st.SearchStrategy[ConditionStanding]:
    one_of = [
        st.builds(ConditionStanding, st.just("task accepted"), st.sampled_from([*names, "gone@pit"])),
        st.builds(
            ConditionStanding, st.just("requirement satisfied"), st.sampled_from([f"{n}#r0" for n in names])
        ),
        st.builds(
            ConditionStanding, st.just("document present"), st.sampled_from([f"{n}#r1" for n in names])
        ),
        st.builds(
            ConditionStanding,
            st.just("question answered"),
            st.just("pit.sump"),
            st.sampled_from([True, False, None]),
        ),
        st.builds(ConditionStanding, st.just("signature"), st.just("contractor")),
    ]
    if gates:
        one_of.append(st.builds(ConditionStanding, st.just("gate cleared"), st.just("gate-0")))
    return st.one_of(one_of)


def improvements(standing: Standing) -> list[Standing]:
    """Every standing in which exactly one more thing is accepted, conceded, released, answered, signed or cleared."""
    better = []
    for at, work in enumerate(standing.tasks):
        for index, item in enumerate(work.requirements):
            for gain in (
                {"outcome": "accepted", "in_tolerance": True},
                {"conceded": True},
                {"released": True},
            ):
                changed = (*work.requirements[:index], replace(item, **gain), *work.requirements[index + 1 :])
                better.append(_with_task(standing, at, replace(work, requirements=changed)))
        if work.begun and not work.finished:
            better.append(_with_task(standing, at, replace(work, finished=True)))
    for at, link in enumerate(standing.links):
        for gain in ({"answer": "accepted"}, {"lag_open": False}):
            links = (*standing.links[:at], replace(link, **gain), *standing.links[at + 1 :])
            better.append(replace(standing, links=links))
    for at, gate in enumerate(standing.gates):
        met = tuple(replace(item, met=True) for item in gate.conditions)
        gains = (
            {"cleared": True},
            {"plan_settled": True},
            {"signed": frozenset({"contractor", "lift crew"})},
            {"conditions": met},
        )
        for gain in gains:
            gates = (*standing.gates[:at], replace(gate, **gain), *standing.gates[at + 1 :])
            better.append(replace(standing, gates=gates))
    return better


def _with_task(standing: Standing, at: int, work: TaskStanding) -> Standing:
    return replace(standing, tasks=(*standing.tasks[:at], work, *standing.tasks[at + 1 :]))
