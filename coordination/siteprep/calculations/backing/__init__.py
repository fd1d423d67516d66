"""Vertical backing along the rails: cut list from stock lengths, and the lags of a bracket.

Lengths in nanometres, loads in pounds. Joints are staggered, none lies at a bracket. The pull on a
bracket comes from the job's drawing; a computed resistance plans, the engineer decides.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice

from coordination.siteprep.calculations.backing import lags
from coordination.siteprep.calculations.backing.cutting import (
    CutList,
    Job,
    Piece,
    cut_list,
    fewest_pieces,
    joint_places,
    least_bought,
    stock_sums,
)
from coordination.siteprep.calculations.backing.inputs import MATERIALS, Anchorage, BackingInputs
from coordination.siteprep.calculations.backing.proving import proved_least
from coordination.siteprep.calculations.code_sets import NO_EN_VALUE, no_en_value
from coordination.siteprep.calculations.values import (
    NANOMETRES_PER_INCH,
    Finding,
    Source,
    Value,
    at_least,
)

__all__ = ["EXAMPLE", "SOURCES", "Anchorage", "BackingInputs", "BackingResult", "calculate"]

SECTION = Source(
    "PS 20 (American Softwood Lumber Standard)", "dressed sizes; NDS Supplement table 1B", "code", "engineer"
)
SECTION_LVL = Source(
    "common practice, no source", "laminated veneer lumber, 1 3/4 in plies", "practice", "framing"
)
CUTTING = Source(
    "common practice, no source",
    "joints staggered and off the brackets; stock in steps of 2 ft",
    "practice",
    "framing",
)
TOTALS_TRIED = 6


@dataclass(frozen=True, slots=True)
class Board:
    """One board to buy: its length, the pieces cut from it in order, and what is left."""

    number: int
    length: Value
    pieces: tuple[Piece, ...]
    left: Value


@dataclass(frozen=True, slots=True)
class AnchorageResult:
    """Resistances of one bracket's lags in pounds; ``in_direction`` for pull and shear together."""

    withdrawal: Value
    lateral: Value
    in_direction: Value


@dataclass(frozen=True, slots=True)
class BackingResult:
    """Section, boards to buy with their pieces, length bought, used and wasted; anchorage; findings.

    ``least_possible`` is a length of boards that no cut list can go under (with the goal "fewest
    pieces": none with so few pieces); ``proved_least`` is true when the one found reaches it.
    Pieces give line, ply and ends above the backing's lower end.
    """

    section: Value
    built_up_thickness: Value
    boards: tuple[Board, ...]
    pieces: Value
    bought: Value
    used: Value
    waste: Value
    least_possible: Value
    proved_least: bool | None
    anchorage: AnchorageResult | None
    findings: tuple[Finding, ...]


def calculate(inputs: BackingInputs) -> BackingResult:
    """Cut all plies of all lines from the least length of boards; size nothing, check the lags.

    With the goal "fewest pieces" the runs have as few joints as they can, then least length. Where
    joints have no place, there is no cut list and a finding says so.
    """
    found, bound = _cuts(inputs)
    findings = [*no_en_value(inputs.code_set, "engineer"), *_anchorage_findings(inputs)]
    if found is None:
        findings.insert(0, Finding("no place for a joint", "not met", CUTTING))
    text, thickness, _ = MATERIALS[inputs.material]
    source = SECTION_LVL if inputs.material.startswith("LVL") else SECTION
    used = inputs.height * inputs.plies * inputs.lines
    bought = found.bought if found else None
    return BackingResult(
        Value(text, "dressed section", source),
        Value(thickness * inputs.plies, "length", source),
        () if found is None else _boards(inputs, found),
        Value(len(found.pieces) if found else None, "count", CUTTING),
        Value(bought, "length", CUTTING),
        Value(used, "length", CUTTING),
        Value(None if bought is None else bought - used, "length", CUTTING),
        Value(bound, "length", CUTTING),
        None if bought is None else bought == bound,
        _anchorage(inputs.anchorage),
        tuple(findings),
    )


def _cuts(inputs: BackingInputs) -> tuple[CutList | None, int | None]:
    """The cut list and the bound; fewest pieces tries more pieces only where fewer find nothing."""
    free = joint_places(inputs.height, inputs.brackets, inputs.joint_clearance, inputs.least_piece)
    stock = tuple(sorted(set(inputs.stock), reverse=True))
    job = Job(
        inputs.height,
        inputs.plies,
        inputs.lines,
        stock,
        free,
        inputs.stagger,
        inputs.least_piece,
        inputs.kerf,
    )
    fewest = fewest_pieces(job)
    if fewest is None:
        return None, None
    bound = least_bought(job, fewest)
    most = max(fewest, inputs.height // inputs.least_piece)
    if inputs.goal == "least waste":
        tries = [
            (total, n) for total in _totals(job, bound) for n in sorted({fewest, min(fewest + 1, most), most})
        ]
    else:
        tries = [(total, n) for n in range(fewest, most + 1) for total in _totals(job, bound)]
    cuts = (cut_list(replace(job, most_pieces=pieces), total) for total, pieces in tries)
    found = next((cut for cut in cuts if cut is not None), None)
    if found is None or found.bought == bound:
        return found, bound
    allowed = (
        most if inputs.goal == "least waste" else max(Counter((p.line, p.ply) for p in found.pieces).values())
    )
    return _proved(replace(job, most_pieces=allowed), found, bound)


def _proved(job: Job, found: CutList, bound: int) -> tuple[CutList, int]:
    """The cut list or a shorter one, with the proved least length where the job is small enough."""
    least = proved_least(job, found.bought)
    if least is None:
        return found, bound
    return (least[1] or found), least[0]


def _totals(job: Job, bound: int) -> list[int]:
    """Lengths of boards to try: the least ones, some larger ones, and at last any."""
    near = list(islice(stock_sums(job.stock, bound), TOTALS_TRIED))
    larger = [bound * percent // 100 for percent in (103, 106, 112, 125)]
    anything = job.runs * (job.height // job.least_piece + 1) * max(job.stock)
    return [*sorted({*near, *(total for total in larger if total > near[-1])}), anything]


def _boards(inputs: BackingInputs, found: CutList) -> tuple[Board, ...]:
    boards = []
    for number, length in enumerate(found.boards, 1):
        pieces = tuple(piece for piece in found.pieces if piece.board == number)
        cut = sum(piece.top - piece.bottom for piece in pieces) + inputs.kerf * len(pieces)
        boards.append(
            Board(
                number,
                Value(length, "length", CUTTING),
                pieces,
                Value(max(0, length - cut), "length", CUTTING),
            )
        )
    return tuple(boards)


def _anchorage(given: Anchorage | None) -> AnchorageResult | None:
    """Resistances of all lags of one bracket. Source: NDS chapter 12."""
    if given is None:
        return None
    sideways = Value(_lateral(given), "lb", lags.lateral_source(given.lag))
    pull_out = Value(_withdrawal(given), "lb", lags.WITHDRAWAL)
    both = None
    if None not in (sideways.amount, pull_out.amount, given.pull, given.shear):
        both = lags.combined(
            float(pull_out.amount or 0),
            float(sideways.amount or 0),
            float(given.pull or 0),
            float(given.shear or 0),
        )
    return AnchorageResult(pull_out, sideways, Value(both, "lb", lags.COMBINED))


def _withdrawal(given: Anchorage) -> float | None:
    if given.thread is None:
        return None
    inches_of_thread = Fraction(given.thread, NANOMETRES_PER_INCH)
    factor = lags.DURATION_FACTORS[given.duration] * (Fraction(75, 100) if given.end_grain else 1)
    per_inch = lags.withdrawal_per_inch(given.lag, lags.SPECIFIC_GRAVITY[given.species])
    return per_inch * float(inches_of_thread * factor * given.count)


def _lateral(given: Anchorage) -> float | None:
    if given.thread is None or given.plate is None:
        return None
    one = lags.lateral(
        given.lag,
        lags.SPECIFIC_GRAVITY[given.species],
        given.plate,
        Fraction(given.thread, NANOMETRES_PER_INCH),
        across_grain=given.across_grain,
    )
    return one * float(lags.DURATION_FACTORS[given.duration] * given.count)


def _anchorage_findings(inputs: BackingInputs) -> Iterator[Finding]:
    given, found = inputs.anchorage, _anchorage(inputs.anchorage)
    if given is None or found is None:
        return
    checks = (
        ("lags against pull", found.withdrawal, given.pull, "anchorage.pull"),
        ("lags against sideways load", found.lateral, given.shear, "anchorage.shear"),
    )
    for key, resistance, load, name in checks:
        if load is None:
            yield Finding(key, "unknown", resistance.source, "", resistance.amount, None, "lb", (name,))
        else:
            missing = "anchorage.thread" if given.thread is None else "anchorage.plate"
            yield at_least(key, resistance.amount, load, "lb", resistance.source, missing=missing)
    if found.in_direction.amount is not None:
        whole = float((given.pull or 0) ** 2 + (given.shear or 0) ** 2) ** 0.5
        yield at_least("lags against both", found.in_direction.amount, whole, "lb", lags.COMBINED, missing="")


SOURCES = (SECTION, SECTION_LVL, CUTTING, *lags.SOURCES, NO_EN_VALUE["engineer"])
EXAMPLE = {
    "height": "22 ft 5 in",
    "material": "2x6",
    "plies": 3,
    "lines": 2,
    "stock": ["8 ft", "10 ft", "12 ft", "14 ft", "16 ft"],
    "brackets": ["12 in", "72 in", "132 in", "192 in", "252 in"],
    "anchorage": {
        "lag": "1/2",
        "count": 4,
        "thread": "3 in",
        "species": "spruce-pine-fir",
        "plate": "1/4 in A36",
        "pull": "900 lb",
        "shear": "400 lb",
    },
}
