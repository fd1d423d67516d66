"""What somebody writes down for an item of the final list: where it is, until when, or why it is not needed."""

from datetime import date, datetime

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason, Refusal
from coordination.access.visitors import Visitor
from coordination.evidence.arrivals import Arrived
from coordination.handover.models import ItemWord
from coordination.siteprep.handover_items import handover_list

STATES = ("present", "not needed")
MOST = 1000


class WordRefused(Refusal):
    """What was written for an item cannot be kept."""


def say_of_item(
    project: Project,
    visitor: Visitor,
    at: datetime,
    *,
    item: str,
    state: str,
    words: str,
    day: date | None = None,
    file: Arrived | None = None,
    file_name: str = "",
) -> ItemWord:
    """Keep what is said of ``item``; the newest word stands. The same again is the same word.

    Raises WordRefused with every fault, NotAllowed.
    """
    require(visitor, "fill the final list")
    if reasons := _faults(item, state, words, day):
        raise WordRefused(*reasons)
    with deciding(project, visitor, at) as pen:
        told = {
            "item": item,
            "state": state,
            "words": words.strip(),
            "day": day,
            "blob": file.blob if file else None,
        }
        last = ItemWord.objects.filter(project=project, item=item).order_by("-pk").first()
        if last is not None and all(getattr(last, name) == value for name, value in told.items()):
            pen.leave_as_it_is()
            return last
        body = {"state": state, "words": words.strip(), "day": day.isoformat() if day else ""}
        if file is not None:
            body["sha256"] = file.blob.sha256
        event = pen.write("final list filled", subject=item, body=body)
        return ItemWord.objects.create(
            project=project, file_name=file_name[:200], name=visitor.name, at=at, event=event, **told
        )


def _faults(item: str, state: str, words: str, day: date | None) -> list[Reason]:
    known = {each.key: each for each in handover_list().items if each.said}
    if item not in known:
        return [Reason("no such item", {"item": item})]
    found = []
    if state not in STATES:
        found.append(Reason("say present or not needed"))
    if not words.strip():
        found.append(Reason("item without words"))
    if len(words) > MOST:
        found.append(Reason("item with too many words", {"most": MOST}))
    if known[item].day and state == "present" and day is None:
        found.append(Reason("item without its day"))
    return found
