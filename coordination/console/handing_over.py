"""The final handover of a site as a folder on disk."""

import shutil
from pathlib import Path

from django.core.management.base import CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from coordination.access.models import Project
from coordination.handover.packing.laid import Lacking
from coordination.handover.packing.laying import Wanted, lay
from coordination.handover.packing.sinks import FolderSink
from coordination.handover.papers_wanted import usual_paper
from coordination.handover.whole import whole_of


def hand_over(project: Project, folder: Path, *, language: str, originals: bool) -> list[Lacking]:
    """Write the folder, whole or not at all. Raises CommandError where something lies there already."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise CommandError(_("%(folder)s is not empty. Name another folder.") % {"folder": folder})
    beside = folder.with_name(f"{folder.name}.part")
    shutil.rmtree(beside, ignore_errors=True)
    beside.mkdir(parents=True)
    wanted = Wanted("folder", language, usual_paper(project.code_set), originals)
    lacking = lay(whole_of(project, timezone.now()), FolderSink(beside), wanted)
    if folder.exists():
        folder.rmdir()
    beside.rename(folder)
    return lacking


def site_called(text: str) -> Project:
    """The site by its uid or its name. Raises CommandError with the names there are."""
    rows = [row for row in Project.objects.select_related("supplier") if text in (str(row.uid), row.name)]
    if len(rows) == 1:
        return rows[0]
    if rows:
        listed = ", ".join(f"{row.uid} ({row.supplier.name})" for row in rows)
        raise CommandError(
            _("Several sites are called that; name one by its uid: %(listed)s") % {"listed": listed}
        )
    names = "; ".join(Project.objects.order_by("name").values_list("name", flat=True))
    raise CommandError(_("No site is called that. There are: %(names)s") % {"names": names})
