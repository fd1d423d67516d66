"""What a task must show, as cards: what was asked, what was handed in, what was said of it, what may be done now."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext, pgettext_lazy

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.evidence import readings
from coordination.evidence.outcomes import Item, Shown
from coordination.evidence.series import TypedCell, is_series, kept_cells, series_of
from coordination.evidence.taken import told_apart
from coordination.gates.cited import document_words
from coordination.gates.clauses import clause_words
from coordination.gates.queries import Scene
from coordination.gates.refusal_words import reason_words
from coordination.gates.variances import variance_of
from coordination.handover.reading import status_words
from coordination.projects.models import Requirement, Task
from coordination.projects.queries import site_position
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.series import Series
from coordination.web.shapes.also_shown import also_shown
from coordination.web.shapes.given_papers import Notes, notes_in
from coordination.web.shapes.grids import table_of
from coordination.web.shapes.hints import Hints, hints_in
from coordination.web.shapes.photos import Figure, Paper, by_whom, figures, paper_words, papers, state_of
from coordination.web.shapes.series_calculations import address_for
from coordination.web.shapes.series_words import figure_words, judged_words
from coordination.web.texts import on_day, said
from coordination.web.words import AUTHORITIES, DECIDERS, ROLES

KINDS: Mapping[str, str | Promise] = {
    "photo": pgettext_lazy("requirement", "photo"),
    "reading": pgettext_lazy("requirement", "reading"),
    "document": pgettext_lazy("requirement", "document"),
    "signature": pgettext_lazy("requirement", "signature"),
}
ORDER = ("photo", "reading", "document", "signature")
UNITS: Mapping[str, str | Promise] = {
    "lux": "lux",
    "volt": "V",
    "ohm": "Ω",
    "ampere": "A",
    "percent": "%",
    "decibel": "dB",
    "second": gettext_lazy("seconds"),
    "day": gettext_lazy("days"),
    "calendar day": gettext_lazy("calendar days"),
    "date": gettext_lazy("a date, as 2026-03-31"),
}


@dataclass(frozen=True)
class Entry:
    """One thing that was handed in and is no file: what it says, whose word it is, what became of it.

    ``received`` is told only where that is known to be another time than ``taken``, or where nobody said when.
    """

    uid: UUID
    words: str
    inside: bool | None
    by: str
    note: str
    state: str
    table: Mapping[str, Any] | None = None
    calculate: str = ""
    taken: datetime | None = None
    received: datetime | None = None


@dataclass(frozen=True)
class Need:
    """One requirement for components/requirement.html and for the forms under it."""

    uid: UUID
    key: str
    form_kind: str
    text: str
    state: str
    kind: str
    stand: str
    tolerance: str
    value: str
    inside: bool | None
    reviewer: str
    deputy: str
    authorised: bool
    reasons: tuple[str, ...]
    source: str
    confirm_with: str
    unit: str
    asks_length: bool
    signer: str
    release: str
    inspection: bool
    lift_critical: bool
    terms_sha: str
    figures: tuple[Figure, ...]
    papers: tuple[Paper, ...]
    entries: tuple[Entry, ...]
    open: bool
    concession: str
    satisfied: bool
    compares_place: bool
    series: Series | None
    entered: tuple[TypedCell, ...]
    limits: Mapping[str, Any]
    system: UnitSystem
    also: tuple[tuple[str, str], ...]
    replaceable: tuple[tuple[str, str], ...]
    only_newer: bool

    @property
    def marked(self) -> tuple[Figure, ...]:
        """The photos whose marks are reasons of the refusal: they are shown beside the reasons."""
        return tuple(photo for photo in self.figures if photo.gives_reasons) if self.reasons else ()

    @property
    def other_figures(self) -> tuple[Figure, ...]:
        return tuple(photo for photo in self.figures if photo not in self.marked)


def needs_of(task: Task, scene: Scene, visitor: Visitor, *, every: bool = False) -> list[Need]:
    """The cards of one task: views first, then readings, papers, signatures. ``every``: also what counts no more."""
    rows = sorted(
        scene.holding.requirements_of[task.pk], key=lambda row: (ORDER.index(row.kind), row.order, row.key)
    )
    hints = hints_in(rows, scene, visitor, every=every)
    placed = any(row.kind == "photo" for row in rows) and _is_placed(scene)
    notes = notes_in((item for row in rows for item in scene.holding.shown[row.pk].items), visitor)
    looked_up: dict[str, Any] = {"hints": hints, "placed": placed, "notes": notes}
    return [need_of(row, scene, visitor, every=every, **looked_up) for row in rows]


def need_of(
    row: Requirement,
    scene: Scene,
    visitor: Visitor,
    *,
    every: bool = False,
    hints: Hints | None = None,
    placed: bool | None = None,
    notes: Notes | None = None,
) -> Need:
    """One card, as ``visitor`` may use it.

    ``hints`` on its photos, ``notes`` on its papers, and ``placed``, whether it is known where the site is, are looked
    up unless they are given.
    """
    shown, terms, system = scene.holding.shown[row.pk], row.terms, system_of(scene)
    items = shown.items if every else tuple(item for item in shown.items if _worth_showing(item, shown))
    hints = hints_in([row], scene, visitor, every=every) if hints is None else hints
    placed = row.kind == "photo" and _is_placed(scene) if placed is None else placed
    notes = notes_in(items, visitor) if notes is None else notes
    text, how = said(terms.get("text", {})), scene.reading.how(row)
    trade = scene.holding.task[row.task_id].trade
    links = {item.evidence.pk: address_for(visitor, trade, terms, item.evidence) for item in items}
    newest = next((item for item in reversed(shown.counted) if item.evidence.value is not None), None)
    return Need(
        uid=row.uid,
        key=scene.holding.key_of(row),
        form_kind="series" if terms.get("series") else row.kind,
        text=text,
        state=_state(row, shown, how),
        kind=str(KINDS[row.kind]),
        stand=said(terms.get("stand") or {}),
        tolerance=tolerance_words(terms, system),
        value=_value(newest, terms, system) if newest and row.kind == "reading" else "",
        inside=shown.in_tolerance if row.kind == "reading" else None,
        reviewer=_role(row.accepts),
        deputy=_role(row.deputy),
        authorised=bool(terms.get("authorised")),
        reasons=tuple(reason_words(shown.reasons)),
        source=source_words(terms.get("source") or {}),
        confirm_with=_confirm((terms.get("source") or {}).get("confirm_with", "")),
        unit=unit_words(terms.get("unit") or "", system),
        asks_length=terms.get("unit") == "length",
        signer=_role(str(terms.get("signer") or "")),
        release=str(AUTHORITIES.get(row.release, row.release)),
        inspection=bool(terms.get("inspection")),
        lift_critical=row.lift_critical,
        terms_sha=row.terms_sha,
        figures=tuple(figures(items, text, hints)),
        papers=tuple(papers(items, notes)),
        entries=tuple(_entry(item, terms, system, links) for item in items if item.evidence.blob is None),
        open=_open(row, shown, scene, visitor),
        concession=_concession(row, scene),
        satisfied=how in {"accepted", "conceded", "released"},
        compares_place=placed and row.kind == "photo",
        series=series_of(terms),
        entered=tuple(_entered(items)),
        limits=terms,
        system=system,
        also=tuple(also_shown(row, scene, visitor)) if row.kind == "photo" else (),
        replaceable=_replaceable(row, shown),
        only_newer=_only_newer(row, shown, scene),
    )


def _is_placed(scene: Scene) -> bool:
    return site_position(scene.holding.project) is not None


def system_of(scene: Scene) -> UnitSystem:
    """The units that the trades of this job measure in."""
    return scene.holding.units


def unit_words(unit: str, system: UnitSystem) -> str:
    """The unit that a reading is asked in, as a form writes it; empty for lengths, which say it themselves."""
    if unit in UNITS:
        return str(UNITS[unit])
    return readings.unit_sign(unit, system) if unit in readings.SEVERAL_UNITS else ""


def tolerance_words(terms: Mapping[str, Any], system: UnitSystem) -> str:
    """What a reading has to lie between; empty where only the value itself is asked."""
    return judged_words(terms, _limits(terms, system))


def _limits(terms: Mapping[str, Any], system: UnitSystem) -> str:
    unit = terms.get("unit") or "count"
    low, high = (readings.shown(terms.get(end), unit, system) for end in ("low", "high"))
    if low and high:
        return low if low == high else _("%(low)s to %(high)s") % {"low": low, "high": high}
    if high:
        return _("at most %(high)s") % {"high": high}
    return _("at least %(low)s") % {"low": low} if low else ""


def source_words(source: Mapping[str, str]) -> str:
    """Where a figure comes from: document, clause, and whether it is a code value, practice or this job's drawing."""
    document, status = source.get("document", ""), source.get("status", "")
    words = status_words(status)
    parts = [document_words(document), clause_words(source.get("clause", ""))]
    named = ", ".join(part for part in parts if part)
    told = status == "practice" and document.startswith("common practice")
    return f"{named} ({words})" if words and not told and words not in named else named


def _state(row: Requirement, shown: Shown, how: str) -> str:
    """``done`` where nobody had to look at it: handed in is enough."""
    if how in {"released", "conceded"}:
        return how
    if shown.outcome == "accepted" and not row.accepts and not row.release:
        return "done" if shown.in_tolerance is not False else "handed in"
    return "handed in" if shown.outcome == "accepted" and how == "not enough" else shown.outcome


def _worth_showing(item: Item, shown: Shown) -> bool:
    """What counts now, what was refused last (the next photo must be better), and papers that were replaced."""
    replaced = item.superseded and item.evidence.withdrawn_at is None
    return replaced or item in shown.counted or item in shown.reviewable


def _entered(items: Sequence[Item]) -> list[TypedCell]:
    """The cells of the newest series: whoever measures again alters what has to be altered."""
    found = [item.evidence.value for item in items if is_series(item.evidence.value)]
    return kept_cells(found[-1]) if found else []


def _value(item: Item, terms: Mapping[str, Any], system: UnitSystem) -> str:
    if is_series(item.evidence.value):
        return figure_words(item.evidence.value, system)
    return readings.shown(item.evidence.value, terms.get("unit") or "count", system)


def _entry(item: Item, terms: Mapping[str, Any], system: UnitSystem, links: Mapping[int, str]) -> Entry:
    row = item.evidence
    table = table_of(row.value, terms, system) if is_series(row.value) and series_of(terms) else None
    if isinstance(row.value, dict) and not is_series(row.value):
        words = _("signed: %(name)s") % {"name": row.value.get("signed", "")}
    else:
        words = _value(item, terms, system)
    if row.instrument:
        words = _("%(value)s, read with %(instrument)s") % {"value": words, "instrument": row.instrument}
    apart = row.taken_at is None or told_apart(row.taken_at, row.received_at)
    return Entry(
        row.uid,
        words,
        row.in_tolerance,
        by_whom(row),
        row.note,
        state_of(item),
        table,
        links[row.pk],
        taken=row.taken_at,
        received=row.received_at if apart else None,
    )


def _open(row: Requirement, shown: Shown, scene: Scene, visitor: Visitor) -> bool:
    """Whether a form stands under it: the work is begun, not finished, and it is not settled yet."""
    task = scene.holding.task[row.task_id]
    if task.begun_on is None:
        return False
    if _only_newer(row, shown, scene):
        verb = "attach an authority's document" if row.release else "hand in evidence"
        return may(visitor, verb, Scope(trade=task.trade))
    if row.release:
        return not shown.released and may(visitor, "attach an authority's document", Scope(trade=task.trade))
    if task.finished_on is not None and shown.outcome != "none":
        return False
    settled = shown.outcome == "accepted" and shown.in_tolerance is not False
    more = not row.accepts and row.kind in {"photo", "document"}
    return (not settled or more) and may(visitor, "hand in evidence", Scope(trade=task.trade))


def _replaceable(row: Requirement, shown: Shown) -> tuple[tuple[str, str], ...]:
    """The papers that stand and that a newer one may replace. What an inspection came to has a form of its own."""
    if row.kind != "document" or row.terms.get("inspection"):
        return ()
    return tuple((str(item.evidence.uid), paper_words(item.evidence)) for item in shown.counted)


def _only_newer(row: Requirement, shown: Shown, scene: Scene) -> bool:
    """Whether a paper stands so that only a newer one in its place can be handed in."""
    task = scene.holding.task[row.task_id]
    settled = bool(row.accepts or row.release) or task.finished_on is not None
    return shown.outcome == "accepted" and settled and bool(_replaceable(row, shown))


def _concession(row: Requirement, scene: Scene) -> str:
    standing = scene.holding.standing_concession.get(row.pk)
    if standing is None:
        return ""
    spoken = ", ".join(
        f"{voice.spoken_name} ({_role(voice.role)})" for voice in scene.holding.voices_of[standing.pk]
    )
    told = {
        "reason": standing.reason.rstrip("."),
        "scope": standing.scope.rstrip(".") or "–",
        "names": spoken,
    }
    words = _("%(reason)s; for: %(scope)s; granted by %(names)s") % told
    if (paper := variance_of(standing)) is not None:
        whose = str(AUTHORITIES.get(paper.authority_kind, paper.authority_kind))
        told |= {"number": paper.number, "who": paper.authority_name or whose, "day": _of_paper(paper.dated)}
        words = (
            _(
                "%(reason)s; for: %(scope)s; variance %(number)s of %(who)s, dated %(day)s, attached by %(names)s"
            )
            % told
        )
    if standing.expires_on is None:
        return words
    return _("%(words)s; until %(day)s") % {"words": words, "day": on_day(standing.expires_on)}


def _of_paper(day: date) -> str:
    """The date on a paper, which may be of another year."""
    return date_format(day, pgettext("date format", "D j M Y"), use_l10n=False)


def _role(role: str) -> str:
    return str(ROLES[role]) if role in ROLES else role


def _confirm(whom: str) -> str:
    return str(DECIDERS.get(whom, whom))
