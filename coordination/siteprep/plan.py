"""The plan of a job: the door for everybody outside.

``derive`` makes it, ``compare`` lays two side by side, ``rework`` says what a change costs in work done.
"""

from coordination.siteprep.comparing import Alteration, Change, compare
from coordination.siteprep.deriving import derive
from coordination.siteprep.plan_json import plan_from_json
from coordination.siteprep.plan_parts import (
    Condition,
    Duration,
    Finding,
    Gate,
    Link,
    Package,
    Place,
    Plan,
    Quantity,
    Question,
    Requirement,
    Task,
)
from coordination.siteprep.reworking import Rework, rework
from coordination.siteprep.sources import Source

__all__ = [
    "Alteration",
    "Change",
    "Condition",
    "Duration",
    "Finding",
    "Gate",
    "Link",
    "Package",
    "Place",
    "Plan",
    "Quantity",
    "Question",
    "Requirement",
    "Rework",
    "Source",
    "Task",
    "compare",
    "derive",
    "plan_from_json",
    "rework",
]
