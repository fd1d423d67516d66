"""Check every hash chain from its first event to its head."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.console.named_sites import site_called
from coordination.handover.proving import anchor_in
from coordination.record.anchors import Anchor, Contradicted, read_anchor, verify_anchor
from coordination.record.verification import Fault, Verified, stands, verify_all, verify_stream


class Command(BaseCommand):
    help = "Check the record: walk every hash chain and name the first place where it does not hold."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "sites",
            nargs="*",
            help="sites to check by name or uid, or streams as this command names them; all when none is named",
        )
        parser.add_argument(
            "--anchor",
            metavar="HASH@LENGTH",
            help="prove that the record still holds this, as a report prints it",
        )
        parser.add_argument(
            "--report", type=Path, metavar="FILE.pdf", help="the same for the anchor that a report carries"
        )

    def handle(self, *args: Any, sites: list[str], **options: Any) -> None:
        for anchor in anchors(options["anchor"], options["report"]):
            self.prove(anchor)
        if options["anchor"] or options["report"]:
            return
        answers = [verify_stream(stream) for stream in streams_called(sites)] if sites else verify_all()
        for answer in answers:
            self.stdout.write(describe(answer))
        if any(isinstance(answer, Fault) for answer in answers):
            raise CommandError(_("The record does not hold."), returncode=1)
        count = len(answers)
        self.stdout.write(ngettext("%(n)d chain holds.", "%(n)d chains hold.", count) % {"n": count})

    def prove(self, anchor: Anchor) -> None:
        """Say whether the record still agrees with ``anchor``. Raises CommandError where it does not."""
        answer = verify_anchor(anchor)
        if isinstance(answer, Fault):
            self.stdout.write(describe(answer))
            raise CommandError(_("The record does not hold."), returncode=1)
        if isinstance(answer, Contradicted):
            raise CommandError(contradiction(answer), returncode=1)
        told = {"anchor": anchor.hash[:12], "n": anchor.length, "stream": answer.whole.stream}
        self.stdout.write(
            _("%(stream)s: event %(n)d is the anchor's (%(anchor)s…), and everything up to it is unchanged.")
            % told
        )
        self.stdout.write(describe(answer.whole))
        if isinstance(answer.whole, Fault):
            raise CommandError(_("Behind the anchor the record does not hold."), returncode=1)


def streams_called(texts: list[str]) -> list[str]:
    """The streams of sites by name or uid; names of the record itself go as they are. Raises Refused for others."""
    return [text if stands(text) else site_called(text).stream for text in texts]


def anchors(typed: str | None, report: Path | None) -> list[Anchor]:
    """The anchors that were typed and that a report carries. Raises CommandError where one cannot be read."""
    found = []
    if typed:
        found.append(read_anchor(typed.strip().lower()))
    if report:
        found.append(_anchor_of(report))
    if None in found:
        raise CommandError(_("No anchor can be read there; it looks like HASH@LENGTH."), returncode=2)
    return [anchor for anchor in found if anchor]


def _anchor_of(report: Path) -> Anchor:
    if not report.is_file():
        raise CommandError(_("%(file)s is no file.") % {"file": report}, returncode=2)
    anchor = anchor_in(report)
    if anchor is None:
        words = _("%(file)s carries no anchor: it is no report as it was downloaded from here.")
        raise CommandError(words % {"file": report}, returncode=2)
    return anchor


def contradiction(answer: Contradicted) -> str:
    told = {"n": answer.anchor.length}
    return {
        "unknown": _(
            "No chain here has the anchor's event %(n)d: another installation, or a record written anew."
        ),
        "cut off": _("The chain of the anchor is shorter than %(n)d events: its end was cut off."),
        "other": _("Event %(n)d is not the anchor's: the record was written anew from there or before."),
    }[answer.what] % told


def describe(answer: Verified | Fault) -> str:
    """One line for one stream."""
    if isinstance(answer, Verified):
        return _("%(stream)s: holds, %(length)d events, head %(head)s") % {
            "stream": answer.stream,
            "length": answer.length,
            "head": answer.head,
        }
    what = {
        "missing": _("the event is missing"),
        "changed": _("the event was changed after it was written"),
        "unlinked": _("the event does not hang on the one before it"),
        "cut off": _("the chain was cut off before this event"),
        "beyond the head": _("there are events that the head does not know"),
        "no chain": _("the head of the chain is missing"),
    }[answer.what]
    return _("%(stream)s: BROKEN at event %(seq)d: %(what)s") % {
        "stream": answer.stream,
        "seq": answer.seq,
        "what": what,
    }
