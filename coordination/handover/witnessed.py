"""Witness points on paper: who could attend what, whether they were told in time, and whether they came."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.gates.sentences import party_words
from coordination.handover.places_read import work_words
from coordination.handover.reading import Reader, Snapshot


@dataclass(frozen=True)
class WitnessRow:
    """One point. ``short`` says that the party was told later than its notice time asks."""

    what: str
    work: str
    party: str
    told: str
    short: str
    came: str
    note: str


def witness_rows(snapshot: Snapshot, reader: Reader) -> list[WitnessRow]:
    return [
        WitnessRow(
            what=reader.text(each["text"]),
            work=work_words(snapshot, each["task"], reader),
            party=": ".join(filter(None, (capfirst(party_words(each["party"])), each["party_name"]))),
            told=_told(each["notice"], reader),
            short=_short(each, reader),
            came=_came(each),
            note=each["note"],
        )
        for each in snapshot.get("witness_points", ())
    ]


def _told(notice: Mapping[str, Any] | None, reader: Reader) -> str:
    if notice is None:
        return _("nobody was told")
    return _("by %(who)s, %(at)s, for %(day)s: %(how)s") % {
        "who": notice["given_by"],
        "at": reader.moment(notice["given_at"]),
        "day": reader.day(notice["for_day"]),
        "how": notice["how"],
    }


def _short(point: Mapping[str, Any], reader: Reader) -> str:
    if not (point["notice"] and point["notice"]["short"]):
        return ""
    asked = {"days": reader.value(point["notice_days"], "day")}
    return _("told too late: %(days)s of notice were asked for") % asked


def _came(point: Mapping[str, Any]) -> str:
    if point["notice"] is None:
        return ""
    if point["attended"] is None:
        return _("not written down")
    if not point["attended"]:
        return _("did not attend")
    return ": ".join(filter(None, (_("attended"), point["who"])))
