"""What stands on top of a company's first page: its work that came back, and gates that reopened before its work."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from coordination.access.visitors import Visitor
from coordination.gates.queries import Scene
from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import Names, cause_words, names_of
from coordination.notices.happened import Happened, happened
from coordination.projects.models import Task
from coordination.web.addresses import address_of

WORDS: Mapping[str, str | Promise] = {
    "refused": _("“%(what)s” came back to you"),
    "reopened": _("The gate “%(what)s” has reopened: ask the general contractor before you go on"),
}


@dataclass(frozen=True)
class OwnWork:
    """A piece of the company's own work that it touches."""

    name: str
    href: str


@dataclass(frozen=True)
class OwnNews:
    """One thing that happened, when, why, and to which of the company's own work."""

    sentence: str
    state: str
    at: datetime
    reasons: tuple[str, ...]
    works: tuple[OwnWork, ...]


def own_news(visitor: Visitor, scene: Scene, now: datetime) -> list[OwnNews]:
    """The newest first, for as long as it stands; offers have their own place on the page."""
    found = [each for each in happened(scene, now) if each.kind in WORDS and each.trades & visitor.trades]
    return [_news(each, visitor, scene) for each in found]


def _news(each: Happened, visitor: Visitor, scene: Scene) -> OwnNews:
    names = Names(scene.holding)
    causes = [capfirst(cause_words(cause, names)) for cause in each.causes]
    return OwnNews(
        sentence=capfirst(str(WORDS[each.kind]) % {"what": each.what}),
        state=each.kind,
        at=each.at,
        reasons=(*reason_words(each.reasons), *causes),
        works=tuple(_work(task, scene) for task in each.works if task.trade in visitor.trades),
    )


def _work(task: Task, scene: Scene) -> OwnWork:
    return OwnWork(
        capfirst(names_of(scene).task(task.key)), address_of("my-task", scene.holding.project.uid, task.uid)
    )
