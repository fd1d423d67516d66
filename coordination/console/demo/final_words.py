"""What the coordinator writes down for the final list of the job that is handed over."""

from datetime import datetime, timedelta
from typing import Final

from coordination.access.models import Project
from coordination.access.visitors import Visitor
from coordination.handover.list_words import say_of_item

# item, words, days from the handover to the item's own day (0: it has none)
WORDS: Final = (
    ("data-plate", "On the controller door: the code and edition of the permit, and the unit's number.", 0),
    ("capacity-plate", "Above the car panel: 950 lb.", 0),
    ("electrical-as-built", "In the folder on the machine-room door, dated with the electrical final.", 0),
    ("diagrams", "In the folder on the machine-room door: wiring and hydraulic, drawing revision C.", 0),
    ("maintenance-program", "In the same folder; the supplier maintains for the first year.", 0),
    ("warranty", "Parts and labor for one year from the handover; call the supplier.", 365),
    ("keys", "Two recall keys in the box at the designated landing; two room keys and a door key with the owner.", 0),
    ("oil-shut-off", "On the power unit, left of the tank; shuts clockwise.", 0),
    ("main-disconnect", "Number 1 beside the machine-room door. Open, the car-light circuit still has power.", 0),
    ("light-disconnect", "Number 2 beside it, fed from the house panel.", 0),
    ("next-tests", "Yearly test by the supplier; the certificate is renewed after it.", 365),
)  # fmt: skip


def write_down(project: Project, visitor: Visitor, at: datetime) -> None:
    """One word for each, a minute apart."""
    for number, (item, words, days) in enumerate(WORDS, start=1):
        moment = at + timedelta(minutes=number)
        day = (moment + timedelta(days=days)).date() if days else None
        say_of_item(project, visitor, moment, item=item, state="present", words=words, day=day)
