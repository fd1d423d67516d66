"""In which languages a report is read on its site: one is made in each, besides the one in English."""

from collections.abc import Iterator

from django.conf import settings
from django.db.models import Exists, OuterRef

from coordination.access.models import Membership, ShareLink
from coordination.gates.models import Clearing
from coordination.handover.models import Report

READ_BY_LINK = ("owner page", "inspection")


def reports_in_other_languages() -> Iterator[str]:
    """Keys ``clearing/language`` of reports that somebody who stands on the site reads and that are not made yet."""
    for code, _name in settings.LANGUAGES:
        if code != settings.LANGUAGE_CODE:
            project = OuterRef("gate__task__project")
            people = Membership.objects.filter(
                project=project, left_at=None, person__is_active=True, person__language=code
            ).exclude(role="subcontractor")
            links = ShareLink.objects.filter(
                project=project, purpose__in=READ_BY_LINK, revoked_at=None, language=code
            )
            made = Report.objects.filter(clearing=OuterRef("pk"), language=code)
            lacking = Clearing.objects.filter(Exists(people) | Exists(links), ~Exists(made))
            for uid in lacking.order_by("cleared_at").values_list("uid", flat=True):
                yield f"{uid}/{code}"
