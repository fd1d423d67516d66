"""Whom no mail told what happened, as lines: telephone, a text message that is ready, one touch that logs it."""

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coordination.access.models import Project
from coordination.dates.calls import last_calls
from coordination.dates.models import Call
from coordination.gates.queries import Scene
from coordination.gates.sentences import party_words
from coordination.notices.happened import Happened
from coordination.notices.unheard import Party, Unheard, unheard
from coordination.projects.models import Gate
from coordination.web.languages import reading_in
from coordination.web.shapes.call_lines import when_called
from coordination.web.text_messages import sms_address

SHOWN = 4
OF_THEM: Mapping[str, str | Promise] = {
    "offered": gettext_lazy("“%(what)s” is offered to them"),
    "reminded": gettext_lazy("their answer to “%(what)s” is awaited"),
    "late": gettext_lazy("their answer to “%(what)s” is late"),
    "refused": gettext_lazy("“%(what)s” came back to them"),
    "reopened": gettext_lazy("the gate “%(what)s” has reopened"),
}
TO_THEM: Mapping[str, str | Promise] = {
    "offered": gettext_lazy("“%(what)s” is offered to you and waits for your answer"),
    "reminded": gettext_lazy("your answer to “%(what)s” is awaited"),
    "late": gettext_lazy("your answer to “%(what)s” is late"),
    "refused": gettext_lazy("“%(what)s” came back to you"),
    "reopened": gettext_lazy("the gate “%(what)s” has reopened"),
}


@dataclass(frozen=True)
class UnheardLine:
    """One party: what it does not know, how to tell it. ``text`` opens the message; ``link`` is where one is sent anew.

    ``reach`` is where their e-mail address can be written down; empty for who is no company. A key counts once;
    ``last`` is the newest call since then, at ``when`` on the site's own clock.
    """

    key: str
    owner: str
    name: str
    phone: str
    about: tuple[str, ...]
    more: int
    since: datetime
    text: str
    link: str
    last: Call | None
    when: str
    reach: str = ""


def unheard_lines(
    project: Project, found: Iterable[Unheard], last: Mapping[tuple[int, str, str], Call]
) -> list[UnheardLine]:
    """The one who has known nothing for longest first."""
    lines = [_line(project, each, last) for each in found]
    return sorted(lines, key=lambda line: (line.since, line.name))


def unheard_here(scene: Scene, now: datetime, gate: Gate | None = None) -> list[UnheardLine]:
    """Those of one site; with ``gate`` only what its reopening brought."""
    project = scene.holding.project
    found = unheard({project.pk: scene}, now)[project.pk]
    if gate is not None:
        found = _of_gate(found, gate)
    return unheard_lines(project, found, last_calls([project])) if found else []


def _of_gate(found: Iterable[Unheard], gate: Gate) -> list[Unheard]:
    """Only what the reopening of ``gate`` brought."""
    only = [(each, tuple(one for one in each.news if one.gate == gate)) for each in found]
    return [Unheard(each.party, news) for each, news in only if news]


def _line(project: Project, each: Unheard, last: Mapping[tuple[int, str, str], Call]) -> UnheardLine:
    party = each.party
    call, since = last.get((project.pk, party.name, party.phone)), each.news[-1].at
    call = call if call and call.at >= since else None
    return UnheardLine(
        key=str(uuid.uuid4()),
        owner=party.name,
        name=capfirst(party_words(party.name)),
        phone=party.phone,
        about=tuple(capfirst(_words(OF_THEM, one)) for one in each.news[:SHOWN]),
        more=max(0, len(each.news) - SHOWN),
        since=since,
        text=sms_address(party.phone, _message(project, each)) if party.phone and party.has_link else "",
        link="" if party.has_link else _anew(project, party),
        last=call,
        when=when_called(call) if call else "",
        reach=reverse("companies", args=[project.uid]) if party.company else "",
    )


def _message(project: Project, each: Unheard) -> str:
    """The text message, in the language of whoever gets it; without the address of a link, which only they have."""
    with reading_in(each.party.language):
        what = "; ".join(_words(TO_THEM, one) for one in each.news[:SHOWN])
        told = {"site": project.name, "company": party_words(each.party.name), "what": what}
        return _("%(site)s, %(company)s: %(what)s. Please open the link that was sent to you.") % told


def _words(table: Mapping[str, str | Promise], one: Happened) -> str:
    return str(table[one.kind]) % {"what": one.what}


def _anew(project: Project, party: Party) -> str:
    address = reverse("links", args=[project.uid])
    return f"{address}?company={party.company.uid}" if party.company else address
