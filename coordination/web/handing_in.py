"""From a posted form to evidence: the files are taken in one by one, and what is wrong is said of each by name.

The page makes a key for each form; with what is sent it makes the item's own key. So a form that is sent again, because
it was pressed twice or because the answer never arrived, brings nothing twice; and what was altered meanwhile is new.
"""

import uuid
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import partial
from typing import Any
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest
from django.utils.datastructures import MultiValueDict
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.evidence.actions import hand_in_many
from coordination.evidence.arrivals import take_in
from coordination.evidence.entering import EnteredFor
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence
from coordination.evidence.one_photo import HandedPhotos, hand_in_photos
from coordination.evidence.refusals import FileRefused, NotHandedIn
from coordination.evidence.series import is_series
from coordination.gates.actions import supersede_document
from coordination.projects.models import Requirement
from coordination.projects.queries import site_position
from coordination.web.forms.evidence import HandInForm
from coordination.web.forms.series import ALL_FORMS
from coordination.web.refused import in_words
from coordination.web.shapes.also_shown import ticked
from coordination.web.shapes.hints import hints_for
from coordination.web.shapes.needs import Need
from coordination.web.uploads import left_out


@dataclass
class Handed:
    """What came of one sending. ``form`` is the one that was posted; ``reasons`` and ``hints`` are sentences.

    ``others`` are the rows for what else the photos show.
    """

    form: HandInForm
    rows: list[Evidence] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)
    hints: list[str] = field(default_factory=list)
    others: list[Evidence] = field(default_factory=list)

    @property
    def well(self) -> bool:
        return bool(self.rows) and not self.reasons

    @property
    def told(self) -> str:
        """What was done, in words; empty where nothing was."""
        if not self.rows:
            return ""
        if self.rows[0].requirement.kind == "photo":
            number, views = len(self.rows), len({row.requirement_id for row in self.others})  # type: ignore[attr-defined]
            told = ngettext("%(number)s photo handed in.", "%(number)s photos handed in.", number)
            more = ngettext(
                "It counts for %(views)s more view.", "It counts for %(views)s more views.", views
            )
            words = [told % {"number": number}, more % {"views": views} if views else ""]
            return " ".join(filter(None, words))
        if is_series(self.rows[0].value) and (left := len(self.rows[0].value["missing"])):
            return ngettext(
                "Handed in; %(left)s reading is still missing.",
                "Handed in; %(left)s readings are still missing.",
                left,
            ) % {"left": left}
        if self.rows[0].in_tolerance is False:
            return _("Handed in; it is outside the tolerance.")
        return _("Handed in.")

    @property
    def heading(self) -> str:
        """Over the reasons: nothing was kept, or only a part."""
        return _("Not everything was taken") if self.rows else _("This was not done")


def form_for(need: Need, visitor: Visitor, for_company: str | None) -> HandInForm:
    """An empty form under a card."""
    more = (
        {"signer": "" if need.signer or for_company else visitor.name}
        if need.form_kind == "signature"
        else {}
    )
    form = ALL_FORMS[need.form_kind](need=need, for_company=for_company, **more)
    if taken := form.fields.get("taken_at"):
        form.initial["taken_at"] = localtime()
        taken.widget.attrs["data-now"] = visitor.project.zone
    form.initial["taken_by"] = "" if for_company else visitor.name
    return form


def hand_in_posted(
    request: HttpRequest,
    visitor: Visitor,
    need: Need,
    requirement: Requirement,
    at: datetime,
    *,
    for_company: str | None,
    files: MultiValueDict[str, UploadedFile] | None = None,
    sent_at: datetime | None = None,
) -> Handed:
    """Hand in what was posted for ``requirement``. Raises NotAllowed before anything is stored.

    ``files`` are those that came ahead of the form, in parts; ``sent_at`` is when a phone says it was pressed.
    """
    verb = "attach an authority's document" if requirement.release else "hand in evidence"
    require(visitor, verb, Scope(trade=requirement.task.trade))
    came_along = request.FILES if files is None else files
    form = ALL_FORMS[need.form_kind](request.POST, came_along, need=need, for_company=for_company)
    handed = Handed(form, reasons=left_out(request))
    if not form.is_valid():
        if handed.reasons:
            for name in ("photos", "document"):
                form.errors.pop(name, None)
        return handed
    by = form.cleaned_data.get("taken_by", "")
    items = [
        replace(item, sent_at=sent_at, taken_by=by) for item in _items(form, visitor, requirement, handed)
    ]
    if not items:
        return handed
    told = form.cleaned_data
    for_other = EnteredFor(told["source"], told["company"]) if for_company is not None else None
    take: Callable[..., HandedPhotos]
    take = partial(hand_in_photos, also=ticked(told["also"])) if told.get("also") else _alone
    if told.get("replaces"):
        take = partial(_in_its_place, UUID(told["replaces"]))
    try:
        photos = take(
            visitor.project, visitor, at, requirement.uid, items, for_other=for_other, terms_sha=told["terms"]
        )
    except Refusal as refusal:
        handed.reasons += in_words(refusal)
        return handed
    handed.rows, handed.others = photos.rows, photos.others
    if photos.left_out:
        handed.reasons += in_words(NotHandedIn(*photos.left_out))
    handed.hints = _hints(handed.rows, visitor)
    return handed


def _alone(*about: Any, **more: Any) -> HandedPhotos:
    """For this requirement only."""
    return HandedPhotos(hand_in_many(*about, **more))


def _in_its_place(
    older: UUID,
    project: Project,
    visitor: Visitor,
    at: datetime,
    _requirement: UUID,
    items: Sequence[HandIn],
    **more: Any,
) -> HandedPhotos:
    """A newer paper in the place of one that stands."""
    return HandedPhotos([supersede_document(project, visitor, at, older, items[0], **more)])


def _hints(rows: Sequence[Evidence], visitor: Visitor) -> list[str]:
    """What the sender should know at once of each photo, by its name where there are several."""
    told = hints_for(rows, visitor)
    named = [(row.file_name if len(rows) > 1 else "", told.get(row.pk, ())) for row in rows]
    return [" ".join([f"{name}:", *hints] if name else hints) for name, hints in named if hints]


def _items(form: HandInForm, visitor: Visitor, requirement: Requirement, handed: Handed) -> Iterator[HandIn]:
    told = form.cleaned_data
    if "cells" in told:
        yield _series(told)
        return
    if requirement.kind not in {"photo", "document"}:
        instrument = told.get("instrument", "")
        yield HandIn(
            _key(told, f"{told['typed']}\n{instrument}"),
            typed=told["typed"],
            instrument=instrument,
            taken_at=told.get("taken_at"),
            note=told["note"],
        )
        return
    keys: set[UUID] = set()
    for file in told["photos"] if requirement.kind == "photo" else [told["document"]]:
        item = _item(file, form, visitor, requirement, handed)
        if item and item.sender_key not in keys:
            keys.add(item.sender_key)
            yield item


def _series(told: Mapping[str, Any]) -> HandIn:
    """All cells together are one item."""
    content = "\n".join(f"{cell.row}\t{cell.column}\t{cell.typed}" for cell in told["cells"])
    return HandIn(
        _key(told, f"{content}\n{told['instrument']}"),
        cells=told["cells"],
        instrument=told["instrument"],
        taken_at=told.get("taken_at"),
        note=told["note"],
    )


def _key(told: Mapping[str, Any], content: str) -> UUID:
    """The item's own key: another value, instrument or time of the same form is another item."""
    taken = told.get("taken_at")
    return uuid.uuid5(told["key"], f"{content}\n{taken.isoformat()}" if taken else content)


def _item(
    file: UploadedFile, form: HandInForm, visitor: Visitor, requirement: Requirement, handed: Handed
) -> HandIn | None:
    """One file, kept; None and a reason where it is no photo or paper. The same file of the same form is one item."""
    told, name = form.cleaned_data, file.name or ""
    try:
        site = site_position(visitor.project) if told.get("compare_place") else None
        arrived = take_in(visitor.project, file, kind=requirement.kind, file_name=name, site=site)
    except FileRefused as refusal:
        handed.reasons += in_words(refusal)
        return None
    return HandIn(
        uuid.uuid5(told["key"], arrived.blob.sha256),
        blob=arrived.blob,
        image=arrived.image,
        file_name=name,
        taken_at=arrived.taken_at,
        number=told.get("number") or "",
        dated=told.get("dated"),
        note=told["note"],
    )
