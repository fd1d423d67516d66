"""What a pit needs, by its facts. Nanometres, litres, litres per minute."""

from fractions import Fraction

from coordination.siteprep.calculations.measures import GALLON_IN_LITRE
from coordination.siteprep.calculations.pit import sources as src
from coordination.siteprep.calculations.pit.inputs import PitInputs, Sump
from coordination.siteprep.calculations.values import Value, inches, millimetres

PUMP_FLOW = 3000 * GALLON_IN_LITRE / 60
LADDER_DEEPER_THAN = inches(35)
TWO_SWITCHES_DEEPER_THAN = inches(67)


def planning_depth(inputs: PitInputs) -> Value:
    """Planning values of makers of limited-use lifts; other classes take theirs from the data sheet."""
    if inputs.lift_class != "limited use" or inputs.code_set != "US" or inputs.occupied_below is None:
        return Value(None, "length", src.DEPTH)
    if inputs.occupied_below:
        return Value(inches("16.5"), "length", src.DEPTH_OCCUPIED)
    return Value(inches(14), "length", src.DEPTH)


def pump_needed(inputs: PitInputs) -> Value:
    """Whether firefighters' operation asks for the pump; recall only is the authority's to settle."""
    if inputs.firefighters_operation is False:
        return Value(False, "", src.PUMP)
    if inputs.firefighters_operation is None or inputs.phase_one_only is not False:
        return Value(None, "", src.PUMP_OPEN)
    return Value(True, "", src.PUMP)


def ladder_needed(inputs: PitInputs) -> bool:
    """Whether the depth asks for a ladder (US) or leaves one enough instead of a door (EN)."""
    depth = inputs.depth or 0
    return depth > LADDER_DEEPER_THAN if inputs.code_set == "US" else depth <= millimetres(2500)


def sump_volume(sump: Sump | None) -> Fraction | None:
    """Usable litres."""
    if sump is None:
        return None
    return Fraction(sump.length * sump.width * sump.usable_depth, (10**8) ** 3)


def pump_down(sump: Sump | None) -> Fraction | None:
    """Minutes from start to stop level; None while flows are unknown or the pump does not keep up."""
    if sump is None or sump.pump_flow is None or sump.inflow is None or sump.pump_flow <= sump.inflow:
        return None
    return (sump_volume(sump) or Fraction(0)) / (sump.pump_flow - sump.inflow)


def edition_rule(inputs: PitInputs, *, before: str, since: str) -> str:
    """The rule before the 2020 edition of the NEC, or since; none under the EN set."""
    if inputs.electrical_edition is None or inputs.code_set == "EN":
        return "unknown"
    return since if inputs.electrical_edition >= "2020" else before
