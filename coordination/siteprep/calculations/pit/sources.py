"""Sources of the pit rules."""

from coordination.siteprep.calculations.code_sets import NO_EN_VALUE
from coordination.siteprep.calculations.values import Source

A17 = "ASME A17.1/CSA B44"
NEC = "NEC (NFPA 70)"
EN = "EN 81-20"
GIVEN = Source("this job's input", "", "drawing", "plumbing")
DEPTH = Source(
    "a lift maker's planning note",
    "14 in recommended for a roped-hydraulic limited-use lift",
    "practice",
    "lift crew",
)
DEPTH_OCCUPIED = Source(
    "a lift maker's planning note", "16 1/2 in with occupied space below", "practice", "lift crew"
)
LIGHT = Source(
    A17, "2.2.5.1, 10 fc (100 lx); a maker's note for another class has 50 lx", "memory", "elevator"
)
STOP_SWITCH = Source(A17, "2.2.6 and 2.26.2.7; two when deeper than 67 in", "memory", "elevator")
LADDER = Source(A17, "2.2.4.2", "code", "elevator")
LADDER_WIDTH = Source(
    A17, "2.2.4.2, reduced rung width 9 in (2004 edition) or 12 in (newer)", "code", "elevator"
)
LADDER_DEVICE = Source(
    A17, "2022 edition, fixed pit ladder with a device that stops the lift", "code", "elevator"
)
PUMP = Source(A17, "2.2.2.5, 3000 gal/h per lift with firefighters' emergency operation", "code", "elevator")
PUMP_OPEN = Source(A17, "2.2.2.5; whether recall only counts is not settled", "memory", "elevator")
DRAIN = Source(A17, "2.2.2.4 to 2.2.2.6", "code", "plumbing")
OIL = Source(
    "plumbing code as adopted locally",
    "oil separator or oil-sensing alarm for hydraulic pits",
    "practice",
    "plumbing",
)
RECEPTACLE = Source(NEC, "620.24(C)", "code", "electrical")
GFCI_UNTIL_2017 = Source(NEC, "620.85 (2017 and earlier)", "code", "electrical")
GFCI_SINCE_2020 = Source(NEC, "620.6 (2020 and later)", "code", "electrical")
SPRINKLER = Source("NFPA 13", "9.3.6.1 (2019), sidewall head within 24 in of the pit floor", "code", "fire")
EN_LIGHT = Source(EN, "5.2.1.4, 50 lx; stop switch in the pit", "memory", "elevator")
EN_ACCESS = Source(EN, "5.2.2.4, door when deeper than 2.50 m, else door or ladder", "code", "elevator")
EN_FLUID = Source(EN, "5.2.1.9, hydraulic pit retains all fluid", "code", "elevator")
ALL = (
    GIVEN, DEPTH, DEPTH_OCCUPIED, LIGHT, STOP_SWITCH, LADDER, LADDER_WIDTH, LADDER_DEVICE, PUMP, PUMP_OPEN, DRAIN, OIL,
    RECEPTACLE, GFCI_UNTIL_2017, GFCI_SINCE_2020, SPRINKLER, EN_LIGHT, EN_ACCESS, EN_FLUID,
    NO_EN_VALUE["electrical"],
)  # fmt: skip
