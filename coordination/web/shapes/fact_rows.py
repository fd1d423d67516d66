"""Site facts as rows of a form or a list: words, what stands, what may be typed."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.projects.queries import Statement
from coordination.siteprep.facts import STATES, WEEKDAYS, Fact, FactDefinition, Facts, groups
from coordination.siteprep.lengths import format_length
from coordination.web.texts import on_day, said
from coordination.web.words import DECIDERS, LOOKS

PICKED = ("choice", "flag")
CANONICAL = (*PICKED, "days", "date")
WIDGETS: Mapping[str, str] = {"choice": "select", "flag": "select", "days": "boxes", "date": "date"}
KEYPADS: Mapping[str, str] = {"integer": "numeric", "number": "decimal"}


@dataclass(frozen=True)
class Option:
    """One answer among a few."""

    value: str
    label: str
    chosen: bool


@dataclass
class FactRow:
    """One fact: what stands of it, and what was sent and is not entered yet.

    ``state``, ``typed``, ``source`` and ``said_by`` are what the form shows; ``stands`` and ``note`` what stands.
    """

    definition: FactDefinition
    standing: Fact
    label: str
    note: str
    stands: str
    help: str
    decides: str
    state: str
    typed: str
    source: str = ""
    said_by: str = ""
    sent: bool = False
    errors: list[str] = field(default_factory=list)

    @property
    def key(self) -> str:
        return self.definition.key

    @property
    def id_for_label(self) -> str:
        return f"{self.key}-value"

    auto_id = id_for_label

    @property
    def widget(self) -> str:
        return WIDGETS.get(self.definition.kind, "text")

    @property
    def keypad(self) -> str:
        return KEYPADS.get(self.definition.kind, "")

    @property
    def described(self) -> str:
        """The ids of what a screen reader says after the field."""
        parts = (("help", self.help), ("error", self.errors))
        return " ".join(f"{self.key}-{name}" for name, there in parts if there)

    @property
    def states(self) -> list[Option]:
        return [Option(state, str(LOOKS[state].word), state == self.state) for state in STATES]

    @property
    def options(self) -> list[Option]:
        chosen = {part.strip() for part in self.typed.split(",")}
        return [Option(value, words, value in chosen) for value, words in answers(self.definition)]


@dataclass(frozen=True)
class FactGroup:
    """A part of the form. ``count`` says in words what is open in it."""

    key: str
    name: str
    rows: tuple[FactRow, ...]
    count: str
    open: bool
    unknown: int


def fact_row(statement: Statement, units: str) -> FactRow:
    """The row of one fact as it stands."""
    definition, fact = statement.definition, statement.fact
    return FactRow(
        definition=definition,
        standing=fact,
        label=said(definition.text),
        note=_who(fact, statement.said_on),
        stands=value_words(definition, fact, units),
        help=_help(definition, units),
        decides=str(DECIDERS.get(definition.decides, definition.decides)),
        state=fact.state,
        typed=as_typed(definition, fact),
    )


def fact_groups(rows: Iterable[FactRow], facts: Facts, opened: str = "") -> list[FactGroup]:
    """The rows in the groups of the catalogue; ``opened`` is the key of a group or a fact to show at once."""
    by_key = {row.key: row for row in rows}
    found = []
    for group in groups(facts.landings, facts.code_set):
        members = tuple(by_key[key] for key in group.facts if key in by_key)
        wanted = opened == group.key or opened in group.facts or any(row.errors for row in members)
        unknown, assumed = (
            sum(row.standing.state == state for row in members) for state in ("unknown", "assumed")
        )
        count = _count(len(members), unknown, assumed)
        found.append(FactGroup(group.key, said(group.text), members, count, wanted, unknown))
    return found


def answers(definition: FactDefinition) -> list[tuple[str, str]]:
    """The few answers that a fact can have, as sent and in words; none where it is typed."""
    if definition.kind == "flag":
        return [("yes", _("yes")), ("no", _("no"))]
    if definition.kind == "days":
        return list(zip(WEEKDAYS, _weekdays(), strict=True))
    return [(str(choice), said(definition.choice_texts[choice])) for choice in definition.choices]


def as_typed(definition: FactDefinition, fact: Fact) -> str:
    """What stands, as the form's own field sends it."""
    value = fact.value
    if value is None or definition.kind not in CANONICAL:
        return fact.typed
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(WEEKDAYS[int(day)] for day in value)
    return value.isoformat() if isinstance(value, date) else str(value)


def value_words(definition: FactDefinition, fact: Fact, units: str) -> str:
    """The value that stands, in words; empty while unknown. Other figures stay as they were typed."""
    value = fact.value
    if value is None:
        return ""
    if definition.kind in (*PICKED, "days"):
        sent = {part.strip() for part in as_typed(definition, fact).split(",")}
        return ", ".join(words for answer, words in answers(definition) if answer in sent)
    if definition.kind == "length" and isinstance(value, int):
        return _length(value, units)
    if definition.kind == "lengths" and isinstance(value, tuple):
        return ", ".join(_length(int(each), units) for each in value)
    if isinstance(value, date):
        return on_day(value) + f" {value.year}"
    return f"{fact.typed} {_unit(definition)}".strip() if definition.kind in KEYPADS else fact.typed


def _length(value: int, units: str) -> str:
    return format_length(value, "metric" if units == "metric" else "us")


def _who(fact: Fact, said_on: date | None) -> str:
    day = f"{on_day(said_on)} {said_on.year}" if said_on else ""
    return ", ".join(filter(None, (fact.said_by, fact.source, day)))


def _help(definition: FactDefinition, units: str) -> str:
    form = ""
    if definition.kind in ("length", "lengths"):
        form = _('as 9\' 4 1/2", 14" or 2857 mm')
    elif definition.kind == "landings":
        form = _("names from the lowest up, with commas: 1, 2, 3")
    elif definition.form_example:
        form = _("as %(example)s") % {"example": definition.form_example}
    limits = _range(definition, units) or _unit(definition)
    return "; ".join(filter(None, (said(definition.help) if definition.help else "", form, limits)))


def _range(definition: FactDefinition, units: str) -> str:
    low, high = (_shown(definition, bound, units) for bound in (definition.low, definition.high))
    if low and high:
        return _("from %(low)s to %(high)s") % {"low": low, "high": high}
    return (
        (_("at least %(low)s") % {"low": low})
        if low
        else (_("at most %(high)s") % {"high": high} if high else "")
    )


def _shown(definition: FactDefinition, bound: int | float | None, units: str) -> str:
    if bound is None:
        return ""
    if definition.kind in ("length", "lengths"):
        return _length(int(bound), units)
    return (
        f"{round(bound):,} {_unit(definition)}".strip()
        if bound > 999
        else f"{bound:g} {_unit(definition)}".strip()
    )


def _unit(definition: FactDefinition) -> str:
    words = {"degree C": "°C", "day": _("days"), "length": ""}
    return words.get(definition.unit, definition.unit)


def _count(facts: int, unknown: int, assumed: int) -> str:
    if not unknown and not assumed:
        return ngettext("%(number)s fact, known", "all %(number)s known", facts) % {"number": facts}
    parts = []
    if unknown:
        parts.append(ngettext("%(number)s unknown", "%(number)s unknown", unknown) % {"number": unknown})
    if assumed:
        parts.append(ngettext("%(number)s assumed", "%(number)s assumed", assumed) % {"number": assumed})
    return _("%(parts)s of %(facts)s") % {"parts": ", ".join(parts), "facts": facts}


def _weekdays() -> Sequence[str]:
    return (_("Mon"), _("Tue"), _("Wed"), _("Thu"), _("Fri"), _("Sat"), _("Sun"))


def fact_words(keys: Iterable[str], before: Facts, after: Facts) -> list[str]:
    """Each fact before and after, in one line."""
    unknown = _("unknown")
    return [
        _("%(fact)s: %(before)s → %(after)s")
        % {
            "fact": said(definition.text),
            "before": (value_words(definition, before[key], after.units) if key in before else "") or unknown,
            "after": value_words(definition, after[key], after.units) or unknown,
        }
        for key in keys
        for definition in [after.definitions[key]]
    ]
