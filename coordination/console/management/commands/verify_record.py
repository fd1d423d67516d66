"""Check every hash chain from its first event to its head."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.record.verification import Fault, Verified, verify_all, verify_stream


class Command(BaseCommand):
    help = "Check the record: walk every hash chain and name the first place where it does not hold."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "streams", nargs="*", help="streams to check (a project's uid); all when none is named"
        )

    def handle(self, *args: Any, streams: list[str], **options: Any) -> None:
        answers = [verify_stream(stream) for stream in streams] if streams else verify_all()
        for answer in answers:
            self.stdout.write(describe(answer))
        if any(isinstance(answer, Fault) for answer in answers):
            raise CommandError(_("The record does not hold."), returncode=1)
        count = len(answers)
        self.stdout.write(ngettext("%(n)d chain holds.", "%(n)d chains hold.", count) % {"n": count})


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
