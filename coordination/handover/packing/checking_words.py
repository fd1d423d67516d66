"""How somebody who has only the folder finds out that it is whole and unaltered."""

from django.utils.translation import gettext as _

from coordination.handover.packing.sinks import MANIFEST
from coordination.handover.reading import Reader
from coordination.handover.whole import Whole

COMMANDS = (
    ("Linux", f"sha256sum -c {MANIFEST}"),
    ("macOS", f"shasum -a 256 -c {MANIFEST}"),
    ("Windows (PowerShell)", "Get-FileHash -Algorithm SHA256 NAME"),
)


def check_steps(whole: Whole, reader: Reader, *, originals: bool) -> list[str]:
    """Each step as a sentence or two; the commands stand apart."""
    head = whole["as_of"]
    return [
        _(
            "Open a command line in this folder and run the command for your system. On Linux and macOS every line "
            "must end with OK; on Windows compare what is printed with the line of that file in %(manifest)s."
        )
        % {"manifest": MANIFEST},
        _originals() if originals else _copies(),
        _(
            "Each report of a gate has a code. Whoever keeps the record can say for that code whether the report still "
            "stands, and verify the whole chain of decisions."
        ),
        _(
            "state.json is what this folder was made from. It stands at place %(seq)s of the record, whose hash there "
            "is %(hash)s (%(when)s)."
        )
        % {"seq": head["seq"], "hash": head["hash"], "when": reader.moment(head["at"])},
    ]


def _originals() -> str:
    return _(
        "Each original has the SHA-256 under which it was received; list.csv says for what it was handed in, when "
        "and by whom. An original that was altered by a single bit has another SHA-256."
    )


def _copies() -> str:
    return _(
        "Photos and PDFs are copies here, without location and device data, so their SHA-256 is not the one under "
        "which the original was received. list.csv names both, and says for each file whether it is a copy: the "
        "first proves the original in the record, the second the file in this folder."
    )


def how_to_check(whole: Whole, reader: Reader, *, originals: bool) -> str:
    """The same as a text file."""
    first, *others = check_steps(whole, reader, originals=originals)
    commands = [f"   {system}: {command}" for system, command in COMMANDS]
    steps = [f"1. {first}", *commands, *(f"{n}. {step}" for n, step in enumerate(others, start=2))]
    return "\n\n".join([_("How to check this folder"), whole["project"]["name"], *steps]) + "\n"
