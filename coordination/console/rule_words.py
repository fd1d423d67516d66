"""The rules that must never break, and each breach of one, in words."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from coordination.gates.rules import Breach

Words = Mapping[str, str | Promise]

RULES: Mapping[int, str | Promise] = {
    1: _("work begins only when what it covers and follows stands; only the named roles concede"),
    2: _("what was decided stays readable"),
    3: _("a cleared gate is the snapshot that was decided, and stands only for what it read"),
    4: _("originals are whole, and copies do not say where they were taken"),
    5: _("an unknown fact stays a question"),
    6: _("whoever decided something had a role that may"),
    7: _("every figure names its unit and its source"),
    8: _("nothing is handed over without the authority's own documents"),
    9: _("an entry for another says so, and nobody reviews their own lift-critical entry"),
    10: _("silence never accepts"),
}
BREACHES: Words = {
    "added without a decision": _("it was added without a decision on record"),
    "an inspection other than entered": _("the result of the inspection is not the one that was entered"),
    "a witness other than told": _("the notice to the witness is not the one that was given"),
    "attended other than said": _("who attended is not what was said"),
    "a copy is altered": _("a copy of a photo was altered"),
    "a copy is missing": _("a copy of a photo is missing"),
    "a copy is no picture": _("a copy of a photo is no picture"),
    "a copy says where it was taken": _("a copy of a photo says where it was taken"),
    "a document says where it was made": _(
        "what strangers get of a document says where, by whom or with what"
    ),
    "a document's copy is altered": _("the copy of a document was altered"),
    "a document's copy is missing": _("the copy of a document is missing"),
    "a quantity without unit or source": _("a quantity has no unit or no source"),
    "a reading without a unit": _("a reading is asked for without a unit"),
    "a concession with a variance's document": _("a concession carries the document of a variance"),
    "a variance of what may be conceded": _("there is a variance for what the site itself may concede"),
    "a variance without the authority's document": _("a variance stands without the authority's document"),
    "a variance other than decided": _("the variance is not the one that was attached"),
    "a role spoke that may not": _("a role spoke for the concession that may not"),
    "an entry for another that does not say so": _("an entry for another company does not say so"),
    "an original is altered": _("an original was altered"),
    "an original is missing": _("an original is missing"),
    "accepted for a receiver who was not silent": _(
        "the handoff was accepted in the place of a receiver whose answer time still ran, or by somebody who may not"
    ),
    "answered by nobody": _("the handoff was answered by nobody"),
    "answered other than decided": _("the answer to the handoff is not the one that was decided"),
    "asked although it is known": _("the fact is asked for although it is known"),
    "asked for without a source": _("it is asked for without a source"),
    "begun before its gate was cleared": _("it began before its gate was cleared"),
    "begun before its handoff was accepted": _("it began before its handoff was accepted"),
    "begun before the work it follows was finished": _("it began before the work it follows was finished"),
    "begun before the work it goes with had begun": _("it began before the work it goes with had begun"),
    "begun over work that was not accepted": _("it began over work that was not accepted"),
    "begun without a decision": _("it began without a decision on record"),
    "cleared other than decided": _("the gate was cleared other than was decided"),
    "cleared without a signature": _("the gate was cleared without a signature"),
    "conceded by other roles than named": _("it was conceded by other roles than those named"),
    "conceded what an authority releases": _("it was conceded although only an authority releases it"),
    "conceded without roles, reason or scope": _("it was conceded without roles, reason or scope"),
    "decided without the right to": _("it was decided by somebody without the right to"),
    "entered for another without the right to": _(
        "it was entered for another by somebody without the right to"
    ),
    "evidence other than handed in": _("the evidence is not what was handed in"),
    "finished without a decision": _("it was finished without a decision on record"),
    "handed over without the authority's document": _("the gate stands without the authority's own document"),
    "marked other than decided": _("a mark on the photo is not what was decided"),
    "offered other than decided": _("the offer is not the one that was decided"),
    "offered without a time to answer": _("it was offered without a time to answer by"),
    "one person spoke for two roles": _("one person spoke for two roles"),
    "provisional for no reason": _("it is provisional for no reason"),
    "provisional without a question": _("it is provisional, but nobody is asked"),
    "reopened without a decision": _("the gate was reopened without a decision on record"),
    "reviewed by nobody": _("it was reviewed by nobody"),
    "reviewed other than decided": _("the review is not the one that was decided"),
    "reviewed their own lift-critical entry": _("somebody reviewed their own lift-critical entry"),
    "stands although what it read has changed": _("the gate stands although what it read has changed"),
    "the record is broken": _("the record is broken at this event"),
    "the snapshot hangs elsewhere in the record": _("the snapshot hangs elsewhere in the record"),
    "the snapshot is not the one that was decided": _("the snapshot is not the one that was decided"),
    "too long to answer for work about to be covered": _(
        "too long a time was given to answer for work about to be covered"
    ),
    "withdrawn other than decided": _("what was withdrawn is not what was decided"),
}


def breach_words(breach: Breach) -> str:
    """One breach: about what, what is wrong, and the particulars."""
    details = f" ({breach.details})" if breach.details else ""
    return _now("rule %(rule)d BROKEN, %(subject)s: %(what)s%(details)s") % {
        "rule": breach.rule,
        "subject": breach.subject,
        "what": BREACHES.get(breach.kind, breach.kind),
        "details": details,
    }
