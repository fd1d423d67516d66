"""Forecasts kept between processes: one row a site, replaced when its network is another one.

A kept forecast decides nothing and can be made again from the same rows, so no event is written for it.
"""

import json
from collections.abc import Mapping
from typing import Any

from django.db import DatabaseError, transaction

from coordination.access.models import Project
from coordination.dates.models import KeptForecast


def kept(wanted: Mapping[int, str]) -> dict[int, Any]:
    """The content kept for each site under exactly the digest wanted; one query, none for nothing."""
    if not wanted:
        return {}
    rows = KeptForecast.objects.filter(project__in=wanted)
    return {row.project_id: json.loads(row.content) for row in rows if row.digest == wanted[row.project_id]}


def keep(project: Project, digest: str, content: str) -> None:
    """Keep a forecast in the place of the one before. Where the database is busy it is not kept: nothing is lost."""
    told = {"digest": digest, "content": content}
    try:
        with transaction.atomic():
            KeptForecast.objects.update_or_create(project=project, defaults=told)
    except DatabaseError:
        return
