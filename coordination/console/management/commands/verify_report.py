"""Say of a PDF whether it is a report that was given out here, and whether it still stands."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _

from coordination.handover.checked_words import GENUINE, of_file, title_of
from coordination.handover.checking import Checked, Standing, check_file

CURRENT, SUPERSEDED, NOT_GENUINE = 0, 1, 2


class Command(BaseCommand):
    help = (
        "Check a report: is the file the one that was given out, byte for byte, and does it still stand? "
        "Ends with 0 genuine and current, 1 genuine but superseded, 2 anything else."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the PDF")
        parser.add_argument("--json", action="store_true", help="answer in JSON")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        if not file.is_file():
            raise CommandError(_("%(file)s is no file.") % {"file": file}, returncode=NOT_GENUINE)
        checked = check_file(file)
        self.stdout.write(as_json(checked) if options["json"] else "\n".join(lines_of(checked)))
        if code := exit_code(checked):
            raise SystemExit(code)


def exit_code(checked: Checked) -> int:
    if checked.finding not in GENUINE or checked.standing is None:
        return NOT_GENUINE
    return CURRENT if checked.standing.current else SUPERSEDED


def lines_of(checked: Checked) -> list[str]:
    told, standing = of_file(checked), checked.standing
    lines = [told.line, *told.more]
    if standing:
        named = {"title": title_of(standing), "project": standing.project, "n": standing.round}
        lines.append(_("%(title)s, %(project)s, revision %(n)d") % named)
    return [*lines, f"SHA-256 {checked.sha256}"]


def as_json(checked: Checked) -> str:
    standing = checked.standing
    genuine = checked.finding in GENUINE and standing is not None
    told = {
        "finding": checked.finding,
        "current": standing.current if genuine and standing else None,
        "sha256": checked.sha256,
        "size": checked.size,
        "differs": checked.differs,
        "report": _report(standing) if standing else None,
    }
    return json.dumps(told, indent=1)


def _report(standing: Standing) -> dict[str, Any]:
    after = standing.successor
    return {
        "code": standing.code,
        "revision": standing.round,
        "cleared_at": standing.cleared_at.isoformat(),
        "reopened_at": standing.reopened_at.isoformat() if standing.reopened_at else None,
        "superseded_by": {
            "revision": after.round,
            "cleared_at": after.cleared_at.isoformat(),
            "code": after.code,
        }
        if after
        else None,
        "sha256": standing.sha256,
        "size": standing.size,
    }
