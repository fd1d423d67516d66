"""Sources of the alarm and recall rules."""

from coordination.siteprep.calculations.values import Source

NFPA72 = "NFPA 72"
A17 = "ASME A17.1/CSA B44"
LOBBY = Source(NFPA72, "21.3.5 (2019), within 21 ft of the centreline of each door", "code", "fire")
HOISTWAY = Source(
    NFPA72, "21.3.6 (2019), where a sprinkler is at the top or A17.1 asks for it", "code", "fire"
)
PIT = Source(
    NFPA72,
    "21.3 and 21.4, smoke for recall and heat for shutdown in a hydraulic pit with a sprinkler",
    "code",
    "fire",
)
HEAT = Source(NFPA72, "21.4.2, within 24 in of each sprinkler", "code", "fire")
HEAT_RATING = Source(NFPA72, "21.4.1, lower temperature and faster than the sprinkler", "memory", "fire")
MONITOR = Source(NFPA72, "21.4.4, shunt-trip control power monitored, supervisory signal", "code", "fire")
RELAY = Source(NFPA72, "21.2.4 (2013), interface within 3 ft of what it controls", "code", "fire")
CIRCUITS = Source(NFPA72, "21.3.12 to 21.3.14, three circuits to the controller", "memory", "fire")
RECALL = Source(A17, "2.27.3.2, level of recall and visual signal", "memory", "elevator")
PIT_RECALL = Source(
    A17, "2.27.3.2, hoistway devices at or below the lower recall level", "memory", "elevator"
)
SWITCH = Source(A17, "2.27.3.1, three-position switch at the designated level", "code", "elevator")
SHUTDOWN = Source(
    A17,
    "2.8.3.3, independent, not self-resetting, never by smoke; heads not over 24 in exempt",
    "code",
    "elevator",
)
LIMITED_USE = Source(A17, "5.2.1.27, recall (Phase I) yes, Phase II no", "code", "elevator")
RESIDENCE = Source(A17, "5.3, neither phase; house smoke alarms", "memory", "elevator")
UNIT = Source(
    "common practice, no source",
    "dedicated control unit where there is no panel; own permit and lead time",
    "practice",
    "fire",
)
TEST = Source(
    "common practice, no source",
    "recall tested with the monitoring station told and restored",
    "practice",
    "fire",
)
ALL = (
    LOBBY, HOISTWAY, PIT, HEAT, HEAT_RATING, MONITOR, RELAY, CIRCUITS, RECALL, PIT_RECALL, SWITCH, SHUTDOWN,
    LIMITED_USE, RESIDENCE, UNIT, TEST,
)  # fmt: skip
