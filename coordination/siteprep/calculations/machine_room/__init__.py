"""Machine room: working spaces before live parts and the plan check."""

from coordination.siteprep.calculations.machine_room.working_space import (
    clear_depth,
    clear_height,
    clear_width,
    volts_to_ground,
)

__all__ = ["clear_depth", "clear_height", "clear_width", "volts_to_ground"]
