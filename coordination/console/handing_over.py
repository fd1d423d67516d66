"""The final handover of a site as a folder on disk."""

import shutil
from collections.abc import Callable
from pathlib import Path

from django.utils import timezone
from django.utils.translation import gettext as _

from coordination.access.models import Project
from coordination.console.refused import Refused
from coordination.handover.packing.laid import Lacking
from coordination.handover.packing.laying import Wanted, lay
from coordination.handover.packing.sinks import FolderSink
from coordination.handover.papers_wanted import usual_paper
from coordination.handover.whole import whole_of

Tell = Callable[[int, int], object]


def hand_over(
    project: Project, folder: Path, *, language: str, originals: bool, tell: Tell = lambda done, total: None
) -> list[Lacking]:
    """Write the folder, whole or not at all; ``tell`` hears how far it is. Raises Refused where it cannot be made."""
    beside = folder.with_name(f"{folder.name}.part")
    try:
        _make_room(folder, beside)
        wanted = Wanted("folder", language, usual_paper(project.code_set), originals)
        lacking = lay(whole_of(project, timezone.now()), FolderSink(beside), wanted, tell)
        if folder.exists():
            folder.rmdir()
        beside.rename(folder)
    except OSError as fault:
        why = _("The folder cannot be written: %(why)s.") % {"why": fault.strerror or fault}
        raise Refused(str(folder), [why]) from None
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return lacking


def _make_room(folder: Path, beside: Path) -> None:
    """An empty folder beside the one that is wanted; what a stopped run left there goes."""
    if folder.exists() and not folder.is_dir():
        raise Refused(str(folder), [_("This is a file. Name a folder.")])
    if folder.exists() and any(folder.iterdir()):
        raise Refused(str(folder), [_("This folder is not empty. Name another one.")])
    shutil.rmtree(beside, ignore_errors=True)
    beside.mkdir(parents=True)
