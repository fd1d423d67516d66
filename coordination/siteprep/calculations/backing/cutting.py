"""Cutting backing from stock lengths: staggered joints, none at a bracket, least stock bought. Nanometres.

Runs are the plies of every line, one after the other. A board gives pieces with a saw cut between
two; what is left may be used as long as it is not shorter than the shortest piece.
"""

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import gcd
from typing import NamedTuple

from coordination.siteprep.calculations.spans import Intervals, clear_of
from coordination.siteprep.calculations.values import Nanometres

MOST_STEPS = 3_000
MOST_SUMS = 50_000


@dataclass(frozen=True, slots=True)
class Job:
    """Runs to be made: ``lines`` times ``plies`` of ``height``; joints only in ``free``; ``most_pieces`` per run."""

    height: int
    plies: int
    lines: int
    stock: tuple[int, ...]
    free: Intervals
    stagger: int
    least_piece: int
    kerf: int
    most_pieces: int = 1

    @property
    def runs(self) -> int:
        """All plies of all lines."""
        return self.lines * self.plies


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece: line and ply from 1, from and to above the lower end, cut from board number ``board``."""

    line: int
    ply: int
    bottom: Nanometres
    top: Nanometres
    board: int


@dataclass(frozen=True, slots=True)
class CutList:
    """Boards by length, and every piece with its board."""

    boards: tuple[int, ...]
    pieces: tuple[Piece, ...]

    @property
    def bought(self) -> int:
        """Length of all boards."""
        return sum(self.boards)


def joint_places(height: int, brackets: Sequence[int], clearance: int, least_piece: int) -> Intervals:
    """Where joints may lie: clear of brackets, and leaving no piece shorter than the shortest at the ends."""
    zones = [(b - clearance, b + clearance) for b in brackets] if clearance else []
    touching = [(b - 1, b + 1) for b in brackets]
    return clear_of((least_piece, height - least_piece), [*zones, *touching])


def fewest_pieces(job: Job) -> int | None:
    """Fewest pieces of one run by itself, from the longest stock; None when no joints allow one."""
    longest = max(job.stock)
    if job.height <= longest:
        return 1
    reached, count = [(0, 0)], 1
    while not any(job.height - longest <= b and a <= job.height - job.least_piece for a, b in reached):
        ahead = [(a + job.least_piece, b + longest) for a, b in reached]
        grown = [(max(a, c), min(b, d)) for a, b in ahead for c, d in job.free if max(a, c) <= min(b, d)]
        if not grown or count > job.height // job.least_piece:
            return None
        reached, count = grown, count + 1
    return count


def keeps_the_rules(job: Job, cuts: CutList) -> bool:
    """Whether a cut list fills every run, keeps joints clear and staggered, and fits its boards. Exact."""
    runs: dict[tuple[int, int], list[Piece]] = {}
    for piece in cuts.pieces:
        runs.setdefault((piece.line, piece.ply), []).append(piece)
    joints = {key: [piece.top for piece in own[:-1]] for key, own in runs.items()}
    filled = len(runs) == job.runs and all(_filled(job, own) for own in runs.values())
    clear = all(any(a <= top <= b for a, b in job.free) for tops in joints.values() for top in tops)
    apart = all(
        abs(top - other) >= job.stagger
        for (line, ply), tops in joints.items()
        for top in tops
        for other in joints.get((line, ply + 1), [])
    )
    return filled and clear and apart and _fits_boards(job, cuts)


def _filled(job: Job, own: list[Piece]) -> bool:
    ends = [0, *(piece.top for piece in own)]
    touching = all(piece.bottom == end for piece, end in zip(own, ends, strict=False))
    long = all(piece.top - piece.bottom >= min(job.least_piece, job.height) for piece in own)
    return touching and long and ends[-1] == job.height


def _fits_boards(job: Job, cuts: CutList) -> bool:
    taken = [-job.kerf] * len(cuts.boards)
    for piece in cuts.pieces:
        if not 1 <= piece.board <= len(cuts.boards):
            return False
        taken[piece.board - 1] += piece.top - piece.bottom + job.kerf
    return all(used <= length for used, length in zip(taken, cuts.boards, strict=True))


def stock_sums(stock: Sequence[int], least: int) -> Iterator[int]:
    """Totals of any boards, from the smallest one not under ``least`` upwards, without end.

    Where the lengths share no common step worth counting in, the bulk is taken from the longest
    board: then totals are left out, and the first need not be the smallest.
    """
    start = 0 if _countable(stock, least) else max(0, least // max(stock) - 5) * max(stock)
    waiting, seen = [start], {start}
    while True:
        total = heapq.heappop(waiting)
        if total >= least and total:
            yield total
        for length in stock:
            if total + length not in seen:
                seen.add(total + length)
                heapq.heappush(waiting, total + length)


def _countable(stock: Sequence[int], least: int) -> bool:
    return least // gcd(*stock) <= MOST_SUMS


def least_bought(job: Job, pieces_each: int) -> int:
    """A length that no cut list can go under: all runs, and the saw cuts that boards cannot spare."""
    used, shortest = job.height * job.runs, min(job.stock)
    if not _countable(job.stock, used):
        return used
    for total in stock_sums(job.stock, used):
        cuts = max(0, job.runs * pieces_each - total // shortest)
        if total >= used + cuts * job.kerf:
            return total
    raise AssertionError("stock sums have no end")


def cut_list(job: Job, total: int) -> CutList | None:
    """A cut list whose boards add up to no more than ``total``; None when the search finds none.

    Depth-first and deterministic: what is left of boards before new ones, long before short,
    joints as high as they may lie, or where the rest fits another board exactly. Ends after
    MOST_STEPS, so None is no proof.
    """
    waiting = [iter([(_State(total), _Spot(0, 0, 1))])]
    steps = 0
    while waiting and steps < MOST_STEPS:
        move = next(waiting[-1], None)
        if move is None:
            waiting.pop()
            continue
        state, at = move
        if at.run == job.runs:
            return CutList(state.boards, state.pieces)
        steps += 1
        if _enough(job, state, at):
            waiting.append(_moves(job, state, at))
    return None


@dataclass(frozen=True, slots=True)
class _State:
    """Most length to buy, boards bought so far, what is left of each, the pieces cut."""

    total: int
    boards: tuple[int, ...] = ()
    left: tuple[int, ...] = ()
    pieces: tuple[Piece, ...] = ()


class _Spot(NamedTuple):
    """The run being made, where its next piece starts, and the number of that piece."""

    run: int
    bottom: int
    number: int


def _moves(job: Job, state: _State, at: _Spot) -> Iterator[tuple[_State, _Spot]]:
    """Every next piece worth trying, with what comes after it."""
    for source in _sources(job, state):
        for top in _tops(job, state, at, _length(job, state, source)):
            after = _Spot(at.run + 1, 0, 1) if top == job.height else _Spot(at.run, top, at.number + 1)
            yield _cut(job, state, at, top, source), after


def _enough(job: Job, state: _State, at: _Spot) -> bool:
    needed = (job.runs - at.run) * job.height - at.bottom
    usable = sum(left for left in state.left if left >= job.least_piece)
    return usable + state.total - sum(state.boards) >= needed


def _sources(job: Job, state: _State) -> list[int]:
    """Where a piece may come from: a board number, or -1 - n for a new board of stock n. One of each length."""
    used: dict[int, int] = {}
    for board, left in enumerate(state.left):
        if left >= min(job.least_piece, job.height):
            used.setdefault(left, board)
    spare = state.total - sum(state.boards)
    new = [-1 - n for n, length in enumerate(job.stock) if length <= spare]
    return [used[left] for left in sorted(used, reverse=True)] + new


def _length(job: Job, state: _State, source: int) -> int:
    return job.stock[-1 - source] if source < 0 else state.left[source]


def _tops(job: Job, state: _State, at: _Spot, length: int) -> list[int]:
    """Upper ends worth trying for a piece of at most ``length``."""
    run, bottom, number = at
    rest = job.height - bottom
    tops = [job.height] if length >= rest else []
    if number >= job.most_pieces:
        return tops
    free = _staggered(job, state, run)
    low, high = bottom + job.least_piece, bottom + min(length, rest)
    spots = [(max(a, low), min(b, high)) for a, b in free if max(a, low) <= min(b, high)]
    exact = {job.height - other for other in (*job.stock, *state.left)}
    fitting = sorted((spot for spot in exact if any(a <= spot <= b for a, b in spots)), reverse=True)
    highest = [b for _, b in sorted(spots, reverse=True)]
    return list(dict.fromkeys(tops + highest[:2] + fitting + highest[2:]))


def _staggered(job: Job, state: _State, run: int) -> Intervals:
    """Joint places of this ply, away from the joints of the ply before it in the same line."""
    line, ply = divmod(run, job.plies)
    before = [p.top for p in state.pieces if (p.line, p.ply) == (line + 1, ply) and p.top < job.height]
    if not before or not job.free:
        return job.free
    zones = [(top - job.stagger, top + job.stagger) for top in before]
    whole = (job.free[0][0], job.free[-1][1])
    away = clear_of(whole, zones)
    return [(max(a, c), min(b, d)) for a, b in job.free for c, d in away if max(a, c) <= min(b, d)]


def _cut(job: Job, state: _State, at: _Spot, top: int, source: int) -> _State:
    run, bottom, _ = at
    boards, left = list(state.boards), list(state.left)
    if source < 0:
        boards.append(job.stock[-1 - source])
        left.append(boards[-1])
        source = len(boards) - 1
    left[source] = max(0, left[source] - (top - bottom) - job.kerf)
    line, ply = divmod(run, job.plies)
    piece = Piece(line + 1, ply + 1, bottom, top, source + 1)
    return _State(state.total, tuple(boards), tuple(left), (*state.pieces, piece))
