"""Where the site is: said by whoever answers for the site facts, only so that photos may be compared with it."""

from datetime import datetime

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.projects.models import SitePosition
from coordination.projects.queries import site_position
from coordination.projects.refusals import PositionRefused


def say_where_it_is(
    project: Project, visitor: Visitor, at: datetime, position: tuple[float, float] | None
) -> None:
    """Latitude and longitude in degrees; None: nothing is compared any more. Said twice it is said once.

    Raises NotAllowed, PositionRefused for a place that is not on earth.
    """
    require(visitor, "change facts")
    if position and not (-90 <= position[0] <= 90 and -180 <= position[1] <= 180):
        raise PositionRefused(Reason("not on earth"))
    with deciding(project, visitor, at) as pen:
        if site_position(project) == position:
            pen.leave_as_it_is()
            return
        latitude, longitude = position or (None, None)
        event = pen.write(
            "site position stated" if position else "site position taken back",
            subject="site",
            body={"latitude": latitude, "longitude": longitude},
        )
        SitePosition.objects.create(project=project, latitude=latitude, longitude=longitude, event=event)
