"""The least length of boards, by an integer programme: a proof for small jobs that none shorter will do.

Variables per run and slot: piece length, whether used, which board gives it; per joint: the clear
stretch it lies in; per pair of joints of neighbouring plies: which lies higher. Lengths in inches.
"""

from itertools import product
from math import gcd
from typing import Any

from coordination.siteprep.calculations.backing.cutting import CutList, Job, Piece, keeps_the_rules
from coordination.siteprep.calculations.values import NANOMETRES_PER_INCH

MOST_VARIABLES = 400
MOST_NODES = 5_000
FINEST = NANOMETRES_PER_INCH // 64


class _Model:
    """Rows of a mixed-integer programme, collected by name."""

    def __init__(self) -> None:
        self.columns: dict[Any, int] = {}
        self.upper: list[float] = []
        self.whole: list[int] = []
        self.rows: list[tuple[dict[int, float], float, float]] = []

    def add(self, name: Any, upper: float, whole: bool) -> None:
        """A variable from 0 to ``upper``."""
        self.columns[name] = len(self.upper)
        self.upper.append(upper)
        self.whole.append(int(whole))

    def hold(self, terms: dict[Any, float], low: float, high: float) -> None:
        """``low`` <= sum of terms <= ``high``."""
        self.rows.append(({self.columns[name]: factor for name, factor in terms.items()}, low, high))

    def least(self, cost: dict[Any, float]) -> tuple[float, dict[Any, float]] | None:
        """The least cost and its variables when proved within the node limit, else None."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import lil_array

        matrix = lil_array((len(self.rows), len(self.upper)))
        for number, (terms, _, _) in enumerate(self.rows):
            for column, factor in terms.items():
                matrix[number, column] = factor
        weights = np.zeros(len(self.upper))
        for name, factor in cost.items():
            weights[self.columns[name]] = factor
        found = milp(
            weights,
            integrality=np.array(self.whole),
            bounds=Bounds(0, np.array(self.upper)),
            constraints=LinearConstraint(
                matrix.tocsr(), [row[1] for row in self.rows], [row[2] for row in self.rows]
            ),
            options={"node_limit": MOST_NODES, "mip_rel_gap": 0},
        )
        if found.status != 0:
            return None
        return float(found.fun), {name: float(found.x[column]) for name, column in self.columns.items()}


def proved_least(job: Job, bought: int) -> tuple[int, CutList | None] | None:
    """The least length of boards with no run over ``most_pieces``, and a cut list that keeps it.

    ``bought`` is a length known to do. None where the job is too large to prove. The cut list is
    rounded to 1/64 in and checked exactly; it is None when rounding breaks a rule.
    """
    boards = range(bought // min(job.stock))
    slots = range(min(job.most_pieces, job.height // job.least_piece))
    size = job.runs * len(slots) * (2 * len(boards) + 2 + len(job.free)) + len(boards) * len(job.stock)
    if not slots or size > MOST_VARIABLES:
        return None
    model = _Model()
    _pieces(model, job, slots)
    _boards(model, job, slots, boards)
    _joints(model, job, slots)
    cost = {("board", b, s): _inches(s) for b in boards for s in job.stock}
    model.hold(cost, 0, _inches(bought))
    found = model.least(cost)
    if found is None:
        return None
    cuts = _read_back(job, found[1], slots, boards)
    return _nearest_sum(job, found[0]), cuts if keeps_the_rules(job, cuts) else None


def _read_back(job: Job, values: dict[Any, float], slots: range, boards: range) -> CutList:
    """The cut list that the variables describe; the last piece of a run takes up the rounding."""
    chosen = {b: s for b in boards for s in job.stock if values["board", b, s] > 0.5}
    numbers = {board: number for number, board in enumerate(chosen, 1)}
    pieces = []
    for run in range(job.runs):
        bottom = 0
        used = [slot for slot in slots if values["used", run, slot] > 0.5]
        for slot in used:
            length = round(values["length", run, slot] * NANOMETRES_PER_INCH / FINEST) * FINEST
            top = job.height if slot == used[-1] else bottom + length
            board = next((b for b in chosen if values["from", run, slot, b] > 0.5), None)
            line, ply = divmod(run, job.plies)
            pieces.append(
                Piece(line + 1, ply + 1, bottom, top, numbers.get(board, 0) if board is not None else 0)
            )
            bottom = top
    return CutList(tuple(chosen.values()), tuple(pieces))


def _inches(nanometres: int) -> float:
    return nanometres / NANOMETRES_PER_INCH


def _nearest_sum(job: Job, inches: float) -> int:
    """Solver's inches as nanometres, on the common step of the stock."""
    step = gcd(*job.stock)
    return round(inches * NANOMETRES_PER_INCH / step) * step


def _pieces(model: _Model, job: Job, slots: range) -> None:
    """Every run is filled by its used slots, which come first."""
    longest, shortest = _inches(max(job.stock)), _inches(min(job.least_piece, job.height))
    for run, slot in product(range(job.runs), slots):
        model.add(("length", run, slot), longest, False)
        model.add(("used", run, slot), 1, True)
        model.hold({("length", run, slot): 1, ("used", run, slot): -longest}, -longest, 0)
        model.hold({("length", run, slot): 1, ("used", run, slot): -shortest}, 0, longest)
        if slot:
            model.hold({("used", run, slot - 1): 1, ("used", run, slot): -1}, 0, 1)
    for run in range(job.runs):
        height = _inches(job.height)
        model.hold({("length", run, slot): 1 for slot in slots}, height, height)


def _boards(model: _Model, job: Job, slots: range, boards: range) -> None:
    """Every used piece comes from one board, and boards hold their pieces and the cuts between."""
    longest, kerf = _inches(max(job.stock)), _inches(job.kerf)
    for board in boards:
        for stock in job.stock:
            model.add(("board", board, stock), 1, True)
        model.hold({("board", board, stock): 1 for stock in job.stock}, 0, 1)
    for run, slot, board in product(range(job.runs), slots, boards):
        model.add(("from", run, slot, board), 1, True)
        model.add(("part", run, slot, board), longest, False)
        model.hold({("part", run, slot, board): 1, ("from", run, slot, board): -longest}, -longest, 0)
    for run, slot in product(range(job.runs), slots):
        sources = {("from", run, slot, board): 1.0 for board in boards}
        model.hold({**sources, ("used", run, slot): -1}, 0, 0)
        parts = {("part", run, slot, board): 1.0 for board in boards}
        model.hold({**parts, ("length", run, slot): -1}, 0, 0)
    for board in boards:
        taken: dict[Any, float] = {}
        for run, slot in product(range(job.runs), slots):
            taken[("part", run, slot, board)] = 1
            taken[("from", run, slot, board)] = kerf
        taken.update({("board", board, stock): -_inches(stock) - kerf for stock in job.stock})
        model.hold(taken, -1e6, 0)


def _joints(model: _Model, job: Job, slots: range) -> None:
    """Joints lie in clear stretches, and away from those of the ply before."""
    height, stagger = _inches(job.height), _inches(job.stagger)
    for run, slot in product(range(job.runs), slots[1:]):
        place = {("length", run, below): 1.0 for below in range(slot)}
        stretches = {("in", run, slot, number): 1.0 for number in range(len(job.free))}
        for name in stretches:
            model.add(name, 1, True)
        model.hold({**stretches, ("used", run, slot): -1}, 0, 0)
        lows = {name: -_inches(job.free[name[3]][0]) for name in stretches}
        highs = {name: -_inches(job.free[name[3]][1]) for name in stretches}
        model.hold({**place, **lows}, 0, 1e6)
        model.hold({**place, **highs, ("used", run, slot): height + height}, -1e6, height + height)
        if run % job.plies:
            for other in slots[1:]:
                _apart(model, (run, slot), (run - 1, other), height, stagger)


def _apart(
    model: _Model, one: tuple[int, int], other: tuple[int, int], height: float, stagger: float
) -> None:
    """Two joints at least ``stagger`` apart, when both are there."""
    name, big = ("above", *one, *other), height + stagger
    model.add(name, 1, True)
    difference = {("length", one[0], slot): 1.0 for slot in range(one[1])}
    difference.update({("length", other[0], slot): -1.0 for slot in range(other[1])})
    both = {("used", *one): -big, ("used", *other): -big}
    model.hold({**difference, **both, name: -big}, stagger - 3 * big, 1e6)
    minus = {key: -factor for key, factor in difference.items()}
    model.hold({**minus, **both, name: big}, stagger - 2 * big, 1e6)
