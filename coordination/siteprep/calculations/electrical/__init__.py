"""Motor circuit of the lift: amps, conductor, fuse, switch, voltage drop, conduit. See :mod:`.circuit`."""

from coordination.siteprep.calculations.electrical.tables import (
    ampacity,
    conductor_for,
    conduit_room,
    full_load_amps,
    next_standard_size,
    ohms_per_1000_ft,
    standard_size_below,
    wire_area,
)

__all__ = [
    "ampacity",
    "conductor_for",
    "conduit_room",
    "full_load_amps",
    "next_standard_size",
    "ohms_per_1000_ft",
    "standard_size_below",
    "wire_area",
]
