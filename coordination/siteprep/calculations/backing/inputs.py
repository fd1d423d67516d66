# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Inputs of the backing calculation. Lengths in nanometres."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.backing.lags import (
    DURATION_FACTORS,
    LAGS,
    PLATES,
    SPECIFIC_GRAVITY,
)
from coordination.siteprep.calculations.code_sets import declare_code_set
from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.values import feet, inches

LUMBER_STOCK = tuple(feet(n) for n in range(8, 21, 2))
MATERIALS: dict[str, tuple[str, int, int]] = {
    "2x4": ("1 1/2 x 3 1/2 in", inches("1.5"), inches("3.5")),
    "2x6": ("1 1/2 x 5 1/2 in", inches("1.5"), inches("5.5")),
    "2x8": ("1 1/2 x 7 1/4 in", inches("1.5"), inches("7.25")),
    "2x10": ("1 1/2 x 9 1/4 in", inches("1.5"), inches("9.25")),
    "2x12": ("1 1/2 x 11 1/4 in", inches("1.5"), inches("11.25")),
    "LVL 7 1/4": ("1 3/4 x 7 1/4 in", inches("1.75"), inches("7.25")),
    "LVL 9 1/4": ("1 3/4 x 9 1/4 in", inches("1.75"), inches("9.25")),
    "LVL 11 1/4": ("1 3/4 x 11 1/4 in", inches("1.75"), inches("11.25")),
}
GOALS = ("least waste", "fewest pieces")


@dataclass(frozen=True, kw_only=True)
class Anchorage(Inputs):
    """One bracket's lag screws, and the loads on them from the job's drawing."""

    lag: str = declare("choice", "nominal diameter in inches", choices=tuple(LAGS))
    count: int = declare("integer", "lags per bracket", low=1, high=40)
    thread: int | None = declare(
        "length", "thread in the backing, tip excluded", unknown=True, low=0, high=inches(12)
    )
    species: str = declare("choice", "wood of the backing", choices=tuple(SPECIFIC_GRAVITY))
    plate: str | None = declare("choice", "steel of the bracket's plate", unknown=True, choices=tuple(PLATES))
    duration: str = declare("choice", "load duration", default="normal", choices=tuple(DURATION_FACTORS))
    end_grain: bool = declare("flag", "driven into end grain", default=False)
    across_grain: bool = declare("flag", "the sideways load acts across the grain", default=True)
    pull: Fraction | None = declare("force", "pull on the bracket, from the drawing", unknown=True, low=0)
    shear: Fraction | None = declare(
        "force", "sideways load on the bracket, from the drawing", unknown=True, low=0
    )


@dataclass(frozen=True, kw_only=True)
class BackingInputs(Inputs):
    """Vertical backing of one rail wall or more: height, brackets, stock; anchorage only for the lags."""

    code_set: str = declare_code_set()
    height: int = declare(
        "length", "height of the backing, lower end to upper end", low=inches(6), high=feet(100)
    )
    material: str = declare("choice", "section of one ply", default="2x6", choices=tuple(MATERIALS))
    plies: int = declare("integer", "plies of one built-up backing", default=3, low=1, high=6)
    lines: int = declare(
        "integer",
        "backings of that height (one on each side of the rail: 2 per rail wall)",
        default=2,
        low=1,
        high=8,
    )
    stock: tuple[int, ...] = declare(
        "length",
        "lengths to be had (8 to 20 ft in steps of 2 ft if not given)",
        default=LUMBER_STOCK,
        many=True,
        low=feet(1),
        high=feet(60),
        least=1,
    )
    brackets: tuple[int, ...] = declare(
        "length", "bracket heights above the lower end of the backing", default=(), many=True, low=0
    )
    joint_clearance: int = declare(
        "length",
        "least distance of a joint from a bracket (placeholder of practice)",
        default=inches(3),
        low=0,
        high=feet(4),
    )
    stagger: int = declare(
        "length",
        "least distance of joints in neighbouring plies (placeholder of practice)",
        default=inches(24),
        low=0,
        high=feet(10),
    )
    least_piece: int = declare(
        "length",
        "shortest piece allowed (placeholder of practice)",
        default=inches(24),
        low=inches(1),
        high=feet(10),
    )
    kerf: int = declare(
        "length",
        "width of a saw cut (joints of backing may stand open by it, so 0 if not given)",
        default=0,
        low=0,
        high=inches(1),
    )
    goal: str = declare("choice", "what comes first", default="least waste", choices=GOALS)
    anchorage: Anchorage | None = declare("record", "lag screws of one bracket", unknown=True, of=Anchorage)

    def cross_check(self) -> Iterator[Problem]:
        """Brackets lie on the backing; stock is not shorter than the shortest piece."""
        for number, bracket in enumerate(self.brackets):
            if bracket > self.height:
                yield Problem(
                    f"brackets[{number}]", "lies above the backing", "give heights above its lower end"
                )
        if max(self.stock) < min(self.least_piece, self.height):
            yield Problem(
                "stock", "is shorter than the shortest piece", "give longer stock or a shorter least_piece"
            )
