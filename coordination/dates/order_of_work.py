"""What becomes of work that has begun before its turn: the planned order is kept, or begun work goes on."""

from datetime import datetime

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.dates.models import OrderOfWork
from coordination.dates.refusals import LinkCannotBe


def set_order_of_work(project: Project, visitor: Visitor, at: datetime, order: str) -> None:
    """Keep the planned order ("retained") or let begun work go on ("override"); never without somebody's word.

    Set so already, nothing changes. Raises NotAllowed, LinkCannotBe for another word.
    """
    require(visitor, "set a date")
    if order not in OrderOfWork.ORDERS:
        raise LinkCannotBe(
            Reason("no such order of work", {"typed": order, "orders": ", ".join(OrderOfWork.ORDERS)})
        )
    with deciding(project, visitor, at) as pen:
        if order_of_work(project) == order:
            pen.leave_as_it_is()
            return
        event = pen.write("order of work set", subject=order, body={})
        OrderOfWork.objects.update_or_create(project=project, defaults={"order": order, "event": event})


def order_of_work(project: Project) -> str:
    """The order that counts."""
    row = OrderOfWork.objects.filter(project=project).first()
    return row.order if row else OrderOfWork.ORDERS[0]
