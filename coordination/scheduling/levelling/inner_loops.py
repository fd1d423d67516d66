"""The innermost loop of the population search: one schedule after another for the classic problem.

All numbers are whole and have 64 bits, but for the loads. Crews come packed: several kinds share one number, WIDTH bits
each, of which the highest is a guard that a subtraction clears when a kind falls short. So one step looks at them all.
"""

from __future__ import annotations

from typing import Any

from .compiling import compiled

WIDTH = 15
PACKED = 4
UNIT = 8
HALF = UNIT // 2
GROUP, SWAP, PART, NEXT_TO = 0.15, 0.25, 0.45, 0.55


@compiled
def place(  # noqa: PLR0917  Arrays by name would only make it harder to compile.
    turns: Any,
    first: Any,
    others: Any,
    lengths: Any,
    needs: Any,
    guard: Any,
    room: Any,
    load: Any,
    keys: Any,
    order: Any,
    bucket: Any,
    left: Any,
    ends: Any,
    busy: Any,
) -> None:
    """Fill ``ends`` (boundaries by member and job) and ``busy`` (load by member and day, zero before).

    Each job gets the first days from the end of what it waits for on that have its ``needs`` (by job and word). Small
    ``keys`` (by member and job) go first, each job after those it waits for, ``others[first[job]:first[job + 1]]``;
    ``turns`` are the jobs in an order that keeps to that. ``load`` is what a job adds to a busy day; ``order``,
    ``bucket`` and ``left`` (by day and word) are room to work in.
    """
    for member in range(len(keys)):
        key, end, busy_on = keys[member], ends[member], busy[member]
        in_turn(turns, first, others, key, order, bucket)
        reached = 0
        for job in order:
            begin = 0
            for at in range(first[job], first[job + 1]):
                begin = max(begin, end[others[at]])
            day = begin + lengths[job] - 1
            while day >= begin:
                while reached <= day:
                    for word in range(len(room)):
                        left[reached, word] = room[word]
                    reached += 1
                fits = True
                for word in range(len(room)):
                    if (left[day, word] - needs[job, word]) & guard != guard:
                        fits = False
                if fits:
                    day -= 1
                else:
                    begin = day + 1
                    day = begin + lengths[job] - 1
            end[job] = begin + lengths[job]
            for taken in range(begin, end[job]):
                busy_on[taken] += load[job]
                for word in range(len(room)):
                    left[taken, word] -= needs[job, word]


@compiled
def in_turn(  # noqa: PLR0917  As for ``place``.
    turns: Any, first: Any, others: Any, key: Any, order: Any, bucket: Any
) -> None:
    """Sort jobs into ``order``: by key, a key raised to the greatest of those it waits for, ties as in ``turns``.

    ``bucket`` is room for one number more than the greatest key and 1.
    """
    for k in range(len(bucket)):
        bucket[k] = 0
    for job in turns:
        for at in range(first[job], first[job + 1]):
            key[job] = max(key[job], key[others[at]])
        bucket[key[job] + 1] += 1
    for k in range(1, len(bucket)):
        bucket[k] += bucket[k - 1]
    for job in turns:
        order[bucket[key[job]]] = job
        bucket[key[job]] += 1


@compiled
def place_dated(  # noqa: C901, PLR0912, PLR0917  One loop, because calls would take longer than what they do.
    order: Any,
    floors: Any,
    lengths: Any,
    stands: Any,
    first: Any,
    steps: Any,
    numbers: Any,
    days: Any,
    evenings: Any,
    indexes: Any,
    counts: Any,
    first_need: Any,
    needs: Any,
    weights: Any,
    due: Any,
    base: int,
    last: int,
    left: Any,
    at: Any,
) -> tuple[int, int, int]:
    """Place the tasks of ``order``, by rank as in ``generation.Shop``, into ``at`` and ``left`` (crews by day).

    Gives weighted days late, days by which what stands breaks its links, and the last instant; -1 first where a date
    passes the horizon. Of task i, ``numbers`` hold the days, evenings and indexes of its calendar from ``days[i]``,
    ``evenings[i]`` and ``indexes[i]`` on, the days being ``counts[i]``. Its links are rows of ``steps`` from
    ``first[i]`` on: place, where the table begins in ``numbers``, days, more, length of the table, whether it binds
    the boundary. Its crews are rows of ``needs``: kind, count. ``stands`` is its index where that is given, else -1.
    ``base`` is the instant before which nothing open lies, ``last`` the end of what stands or is finished.
    """
    count, late, broken = len(lengths), 0, 0
    for i in order:
        k, own = floors[i], lengths[i]
        if stands[i] >= 0:
            k = 0
        for s in range(first[i], first[i + 1]):
            x = at[steps[s, 0]] + steps[s, 2]
            if x < 0:
                x += steps[s, 4]
            bound = numbers[steps[s, 1] + x] + steps[s, 3]
            if steps[s, 5]:
                bound -= own
            k = max(k, bound)
        if stands[i] >= 0:
            broken += max(0, k - stands[i])
        else:
            if k >= counts[i] or k + own > counts[i]:
                return -1, 0, 0
            begin, end = numbers[days[i] + k], numbers[evenings[i] + k + own]
            if own:
                day = end - 1
                while day >= begin:
                    fits = True
                    for q in range(first_need[i], first_need[i + 1]):
                        if left[needs[q, 0], day] < needs[q, 1]:
                            fits = False
                    if fits:
                        day -= 1
                    else:
                        k = numbers[indexes[i] + day + 1]
                        if k >= counts[i] or k + own > counts[i]:
                            return -1, 0, 0
                        begin, end = numbers[days[i] + k], numbers[evenings[i] + k + own]
                        day = end - 1
                for q in range(first_need[i], first_need[i + 1]):
                    for taken in range(begin, end):
                        left[needs[q, 0], taken] -= needs[q, 1]
            at[i], at[count + i] = begin, end
        last = max(last, at[count + i])
        if weights[i]:
            late += weights[i] * max(0, max(base, at[count + i]) - due[i])
    return late, broken, last


@compiled
def improve(  # noqa: PLR0917  As for ``place``.
    known: Any,
    open_ranks: Any,
    before: Any,
    movable: Any,
    groups: Any,
    parts: Any,
    empty: Any,
    room: Any,
    chances: Any,
    steps: Any,
    allowed: Any,
    far: int,
    near: int,
    measure: int,
    priority: Any,
    costs: Any,
    best_priority: Any,
    best: Any,
) -> None:
    """Try one changed priority list after the other, one for each row of ``chances`` (8, from 0 to 1).

    ``costs`` are those of ``priority`` and of ``best`` (instants by place, made from ``best_priority``): days late or
    broken times ``measure``, and the last instant. A change is kept when it costs no more than ``allowed`` beyond the
    first of them. ``steps`` (4 a row, mostly between -2 and 2) times ``far`` or ``near`` say how far is moved.
    ``empty`` are instants and free crews when nothing is placed; ``room`` holds places to work in.
    """
    moved, key, order, bucket, at, left = room
    for turn in range(len(chances)):
        for i in range(len(priority)):
            moved[i] = priority[i]
        change(chances[turn], steps[turn], movable, groups, parts, far, near, moved)
        for i in range(len(priority)):
            moved[i] = max(0, min(len(bucket) - 2, moved[i]))
            key[i] = moved[i]
        in_turn(open_ranks, before[0], before[1], key, order, bucket)
        for instant in range(len(at)):
            at[instant] = empty[0][instant]
        for kind in range(len(left)):
            for day in range(len(left[kind])):
                left[kind, day] = empty[1][kind, day]
        late, broken, last = place_dated(order, *known, left, at)  # type: ignore[call-arg]
        cost = (late + broken * 1_000_000_000) * measure + last
        if late >= 0 and cost <= costs[0] + allowed[turn]:
            costs[0] = cost
            for i in range(len(priority)):
                priority[i] = moved[i]
            if cost < costs[1]:
                costs[1] = cost
                for i in range(len(priority)):
                    best_priority[i] = moved[i]
                for instant in range(len(at)):
                    best[instant] = at[instant]


@compiled
def change(  # noqa: PLR0917  As for ``place``.
    chance: Any, step: Any, movable: Any, groups: Any, parts: Any, far: int, near: int, moved: Any
) -> None:
    """Change priorities: of a group, of two groups that change places (or of one that goes where another is), of a
    crew's tasks in a group, of one task to before or behind another, or of a few.
    """
    if chance[0] < GROUP and len(groups[0]) > 2:
        shift(groups, chance[1], int(step[0] * far), moved)
    elif chance[0] < SWAP and len(groups[0]) > 2:
        apart = head(groups, chance[2], moved) - head(groups, chance[1], moved) + int(step[0] * UNIT)
        shift(groups, chance[1], apart, moved)
        if chance[3] < 0.5:
            shift(groups, chance[2], -apart, moved)
    elif chance[0] < PART and len(parts[0]) > 1:
        shift(parts, chance[1], int(step[0] * far), moved)
    elif chance[0] < NEXT_TO:
        other = moved[movable[int(chance[2] * len(movable))]]
        moved[movable[int(chance[1] * len(movable))]] = other + (HALF if chance[3] < 0.5 else -HALF)
    else:
        for few in range(1 + int(chance[1] * 4)):
            moved[movable[int(chance[2 + few] * len(movable))]] += int(step[few] * near)


@compiled
def head(lists: Any, chance: float, moved: Any) -> int:
    """The priority of the first of one list, drawn by ``chance``."""
    first, rows = lists
    return moved[rows[first[int(chance * (len(first) - 1))]]]  # type: ignore[no-any-return]


@compiled
def shift(lists: Any, chance: float, days: int, moved: Any) -> None:
    """Move all of one list, drawn by ``chance``."""
    first, rows = lists
    drawn = int(chance * (len(first) - 1))
    for at in range(first[drawn], first[drawn + 1]):
        moved[rows[at]] += days
