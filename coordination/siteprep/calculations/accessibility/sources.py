"""Sources of the accessibility rules and of the class limits."""

from coordination.siteprep.calculations.values import Source

ADA = "2010 ADA Standards"
CAR_LIMITED_USE = Source(ADA, "408.4.1", "code")
CAR_SQUARE = Source(ADA, "408.4.1, exception 1", "code")
CAR_EXISTING = Source(ADA, "408.4.1, exception 2", "code")
CAR_RESIDENCE = Source(ADA, "409.4.1", "code")
DOOR_RESIDENCE = Source(ADA, "409.4", "memory", "building")
PANEL_RESIDENCE = Source(ADA, "409.4.6", "code")
SWING_DOORS = Source(ADA, "408.3.2", "code")
SLIDING_DOORS = Source(ADA, "408.3.1 with 407.3.1 to 407.3.3", "code")
GAP_PUBLIC = Source(ADA, "408.4.3 with 407.4.3", "code")
GAP_RESIDENCE = Source(ADA, "409.4.3", "code")
LEVELLING = Source(ADA, "407.4.4, 409.4.4", "code")
HALL_BUTTON = Source(ADA, "407.2.1.1 with 308", "code")
BUTTON_SIZE = Source(ADA, "407.2.1", "code")
EMERGENCY_CONTROLS = Source(ADA, "407.4.6.4.1", "code")
ILLUMINATION = Source(ADA, "407.4.5, 408.4.5", "memory", "building")
JAMB_SIGNS = Source(ADA, "407.2.3.1 with 703.4.1", "code")
CLASS_LIMITED_USE = Source("ASME A17.1/CSA B44", "5.2.1.16", "code", "elevator")
CLASS_RESIDENCE = Source("ASME A17.1/CSA B44", "5.3.1.10", "memory", "elevator")
LOAD_CURVE = Source(
    "ASME A17.1/CSA B44", "2.16.1, rated load by inside area up to 50 ft2", "code", "elevator"
)
LOAD_RESIDENCE = Source("ASME A17.1/CSA B44", "5.3.1.10, least rated load", "memory", "elevator")
RISE_RESIDENCE = Source("ASME A17.1/CSA B44", "5.3.1.10 and 5.3.1.16", "code", "elevator")
DOOR_TO_SILL = Source(
    "ASME A17.1/CSA B44", "5.3.1.8 (2016 and later); same limits in a state bill of 2016", "code", "elevator"
)
SPHERE = Source(
    "ASME A17.1/CSA B44", "5.3.1.8 (2016 and later), 4 in sphere under 75 lbf", "code", "elevator"
)

SOURCES = (
    CAR_LIMITED_USE, CAR_SQUARE, CAR_EXISTING, CAR_RESIDENCE, DOOR_RESIDENCE, PANEL_RESIDENCE, SWING_DOORS,
    SLIDING_DOORS, GAP_PUBLIC, GAP_RESIDENCE, LEVELLING, HALL_BUTTON, BUTTON_SIZE, EMERGENCY_CONTROLS, ILLUMINATION,
    JAMB_SIGNS, CLASS_LIMITED_USE, CLASS_RESIDENCE, LOAD_CURVE, LOAD_RESIDENCE, RISE_RESIDENCE, DOOR_TO_SILL, SPHERE,
)  # fmt: skip
