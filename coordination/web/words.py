"""The word, the mark and the tone of every state that a screen shows. Never one of them alone."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from coordination.gates.sentences import GATE_STATES, STATES
from coordination.projects.trade_words import spoken

Mark = Literal["empty", "open", "dashes", "hatch", "broad", "cross", "solid", "bars", "question", "half"]
Tone = Literal["ink", "quiet", "accent"]


@dataclass(frozen=True)
class Look:
    """``mark`` is a symbol in components/marks.html; the accent means that somebody must act."""

    word: str | Promise
    mark: Mark
    tone: Tone = "ink"


LOOKS: Mapping[str, Look] = {
    # work, and places (the worst of their work)
    "held": Look(STATES["held"], "open", "quiet"),
    "ready": Look(STATES["ready"], "dashes"),
    "at work": Look(STATES["at work"], "hatch"),
    "offered": Look(STATES["offered"], "broad", "accent"),
    "refused": Look(STATES["refused"], "cross", "accent"),
    "accepted": Look(STATES["accepted"], "solid"),
    "done": Look(STATES["done"], "bars"),
    "question open": Look(pgettext_lazy("state", "question open"), "question", "accent"),
    # gates
    "ready to clear": Look(GATE_STATES["ready to clear"], "dashes", "accent"),
    "cleared": Look(GATE_STATES["cleared"], "solid"),
    "reopened": Look(pgettext_lazy("state", "reopened"), "cross", "accent"),
    # requirements
    "none": Look(pgettext_lazy("state", "not handed in"), "empty", "quiet"),
    "handed in": Look(pgettext_lazy("state", "handed in"), "broad"),
    "failed": Look(pgettext_lazy("state", "not passed"), "cross", "accent"),
    "conceded": Look(pgettext_lazy("state", "conceded"), "half"),
    "released": Look(pgettext_lazy("state", "released"), "solid"),
    "superseded": Look(pgettext_lazy("state", "superseded"), "empty", "quiet"),
    "withdrawn": Look(pgettext_lazy("state", "withdrawn"), "empty", "quiet"),
    # the final list
    "present": Look(pgettext_lazy("state", "present"), "solid"),
    "missing": Look(pgettext_lazy("state", "missing"), "cross", "accent"),
    "not needed": Look(pgettext_lazy("state", "not needed"), "empty", "quiet"),
    # site facts
    "known": Look(pgettext_lazy("state", "known"), "solid"),
    "assumed": Look(pgettext_lazy("state", "assumed"), "half", "quiet"),
    "unknown": Look(pgettext_lazy("state", "unknown"), "question", "accent"),
    # files on their way
    "waiting": Look(pgettext_lazy("state", "waiting"), "empty", "quiet"),
    "sending": Look(pgettext_lazy("state", "sending"), "hatch"),
    "stored": Look(pgettext_lazy("state", "stored"), "solid"),
}

ROLES: Mapping[str, str | Promise] = {
    "coordinator": _("coordinator"),
    "contractor": _("general contractor"),
    "lift crew": spoken(pgettext_lazy("role", "{lift} crew")),
    "subcontractor": _("subcontractor"),
    "owner": _("owner"),
    "inspector": _("inspector"),
}

AUTHORITIES: Mapping[str, str | Promise] = {
    "elevator": spoken(_("the {lift} authority")),
    "building": _("the building department"),
    "electrical": _("the electrical authority"),
    "fire": _("the fire authority"),
    "plumbing": _("the plumbing authority"),
}

DECIDERS: Mapping[str, str | Promise] = {
    **AUTHORITIES,
    "coordinator": _("the coordinator"),
    "contractor": _("the general contractor"),
    "lift crew": spoken(_("the {lift} crew")),
    "owner": _("the owner"),
}

PURPOSES: Mapping[str, str | Promise] = {
    "company tasks": _("a company’s tasks"),
    "calendar": _("a company’s calendar feed"),
    "owner page": _("the owner’s page"),
    "inspection": _("the handover reports"),
}
