"""Photos, readings and papers that were handed in, each as one line of a sheet: what it shows and how it stands."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.handover.marked import mark_lines, picture_name, with_marks
from coordination.handover.reading import Reader, Snapshot, kind_words, outcome_words, when_words
from coordination.handover.summary import LET_GO

# States under another name on screens, where each has a mark.
LOOKS = {"earlier": "withdrawn", "varied": "conceded"}


@dataclass(frozen=True)
class Shot:
    """One photo with everything that makes it worth something later.

    ``copy`` is the SHA-256 of the picture shown, empty where there is none: then ``lacking`` says why. ``item`` is the
    frozen evidence itself, ``uid`` its own.
    """

    uid: str
    number: int
    view: str
    work: str
    state: str
    state_words: str
    taken: str
    received: str
    by: str
    reviewed: str
    sha256: str
    copy: str
    lacking: str
    item: Snapshot

    @property
    def name(self) -> str:
        """The name under which a paper asks for the picture, with its marks."""
        return picture_name(self.item)

    @property
    def alt(self) -> str:
        """The alternative text: what it shows, then every mark."""
        told = {"number": self.number, "what": self.view}
        return with_marks(_("Photo %(number)s: %(what)s") % told, self.item)

    @property
    def marks(self) -> tuple[str, ...]:
        """Its marks in words, with who put them."""
        return mark_lines(self.item)

    @property
    def look(self) -> str:
        """The state under which a screen knows its mark."""
        return LOOKS.get(self.state, self.state)


@dataclass(frozen=True)
class Entry:
    """A reading, document or signature: what was asked, what was handed in, how it stands."""

    what: str
    kind: str
    found: str
    against: str
    state: str
    state_words: str
    by: str
    at: str
    sha256: str

    @property
    def look(self) -> str:
        """The state under which a screen knows its mark."""
        return LOOKS.get(self.state, self.state)


def shot(task: Snapshot, need: Snapshot, item: Snapshot, reader: Reader, number: int) -> Shot:
    copy = item["rendition"]["sha256"] if item["rendition"] else ""
    state = state_of(need, item)
    return Shot(
        uid=item["uid"],
        number=number,
        view=reader.text(need["text"]),
        work=capfirst(reader.text(task["text"])),
        state=state,
        state_words=_state_words(state),
        taken=reader.moment(item["taken_at"]) or _("time of capture not stated"),
        received=reader.moment(item["received_at"]),
        by=_by(item),
        reviewed=_reviewed(item, reader),
        sha256=item["sha256"] or "",
        copy=copy,
        lacking="" if copy else _("no picture could be made of this original"),
        item=item,
    )


def entry(need: Snapshot, item: Snapshot, reader: Reader) -> Entry:
    state = state_of(need, item)
    return Entry(
        what=reader.text(need["text"]),
        kind=kind_words(need["kind"]),
        found=_found(need, item, reader),
        against=reader.tolerance(need["low"], need["high"], need["unit"]),
        state=state,
        state_words=_state_words(state),
        by="; ".join(filter(None, [_by(item), _reviewed(item, reader)])),
        at=when_words(item, reader) or reader.moment(item["received_at"]),
        sha256=item["sha256"] or "",
    )


def designs(task: Snapshot, reader: Reader) -> Iterator[Entry]:
    """Calculations kept beside the task: asked for by nobody, looked at by nobody."""
    for item in task["designs"]:
        yield Entry(
            what=_("Calculation: %(file)s") % {"file": item["file_name"]},
            kind=kind_words("document"),
            found=item["note"] or item["file_name"],
            against="",
            state="handed in",
            state_words=_("kept beside the task"),
            by=item["sender"],
            at=reader.moment(item["at"]),
            sha256=item["sha256"],
        )


def state_of(need: Snapshot, item: Snapshot) -> str:
    """How one piece of evidence stands: withdrawn, refused, accepted, let go, done, or handed in."""
    if item.get("withdrawn_at"):
        return "withdrawn"
    if "withdrawn_at" in item:
        return "earlier"
    if item["review"]:
        found: str = item["review"]["outcome"]
        return found
    if need["release"]:
        return "released"
    if need["how"] in LET_GO:
        return str(need["how"])
    return "handed in" if need["accepts"] else "done"


def _state_words(state: str) -> str:
    own = {
        "withdrawn": _("withdrawn"),
        "earlier": _("handed in under earlier terms"),
        "done": _("handed in, no review asked for"),
        "handed in": _("handed in, not reviewed yet"),
    }
    return own.get(state) or outcome_words(state)


def _found(need: Snapshot, item: Snapshot, reader: Reader) -> str:
    """The value, or number and date of a document, or its file."""
    if need["kind"] == "reading":
        plain = not isinstance(item["value"], dict | list)
        value = reader.value(item["value"], need["unit"]) if plain else item["typed"]
        side = {True: _("inside"), False: _("outside")}.get(item["in_tolerance"], "")
        return ", ".join(filter(None, [value, side, item["instrument"]]))
    if need["kind"] == "signature":
        return str(item["typed"] or item["value"] or "")
    number = ""
    if item["number"]:
        told = {"number": item["number"], "day": reader.day(item["dated"])}
        number = _("No. %(number)s of %(day)s") % told
    return ", ".join(filter(None, [number, item["file_name"]]))


def _by(item: Snapshot) -> str:
    if item["entered_for"]:
        return _("entered by %(who)s for %(whom)s (%(source)s)") % {
            "who": item["sender"],
            "whom": item["entered_for"],
            "source": item["entry_source"],
        }
    return str(item["sender"])


def _reviewed(item: Snapshot, reader: Reader) -> str:
    review = item["review"]
    if not review:
        return ""
    told = {
        "outcome": outcome_words(review["outcome"]),
        "who": review["reviewer"],
        "when": reader.moment(review["at"]),
    }
    words = _("%(outcome)s by %(who)s, %(when)s") % told
    reasons = "; ".join(str(reason).rstrip(".") for reason in review["reasons"])
    return f"{words}: {reasons}" if reasons else words
