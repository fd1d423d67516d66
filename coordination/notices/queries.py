"""What is still to be read from the record, and what is still to be sent."""

from datetime import datetime

from django.db.models import OuterRef, Subquery
from django.db.models.functions import Coalesce

from coordination.access.models import Project
from coordination.notices.models import Cursor, Message
from coordination.record.models import Chain


def unread(now: datetime) -> list[str]:
    """Streams of projects with decisions that nobody has read for messages, by name."""
    read = Coalesce(Subquery(Cursor.objects.filter(stream=OuterRef("stream")).values("seq")[:1]), 0)
    behind = Chain.objects.annotate(read=read).filter(length__gt=read)
    of_projects = {project.stream for project in Project.objects.all()}
    return [
        stream
        for stream in behind.order_by("stream").values_list("stream", flat=True)
        if stream in of_projects
    ]


def unsent(now: datetime) -> list[str]:
    """Messages that have not gone out, the oldest first."""
    return [
        str(pk) for pk in Message.objects.filter(sent_at=None).order_by("pk").values_list("pk", flat=True)
    ]


def told(project: Project, *, most: int = 50) -> list[Message]:
    """The newest messages of a project, for whoever wonders who was told."""
    rows = Message.objects.filter(event__stream=project.stream).select_related("event", "person")
    return list(rows.order_by("-pk")[:most])
