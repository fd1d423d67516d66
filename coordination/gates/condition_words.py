"""A condition of a gate in words: what must be so, in the trade's terms."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from coordination.gates.sentences import Names, in_language, party_words
from coordination.projects.stating import facts_of

SENTENCES: Mapping[str, str | Promise] = {
    "task accepted": _("“%(what)s” accepted"),
    "requirement satisfied": _("%(what)s (%(task)s): accepted"),
    "reading in tolerance": _("%(what)s (%(task)s): read, in tolerance and accepted"),
    "signature of work": _("%(what)s (%(task)s): signed"),
    "document present": _("%(what)s (%(task)s): the document is there"),
    "official document": _("%(what)s (%(task)s): the authority's own document is there"),
    "question answered": _("question answered: %(what)s"),
    "gate cleared": _("gate cleared: %(what)s"),
    "signature": _("signed: %(what)s"),
}
OF_READINGS = {"reading": "reading in tolerance", "signature": "signature of work"}


def condition_words(kind: str, subject: str, names: Names) -> str:
    """One condition as a line of a list, beginning with a capital."""
    sentence = str(SENTENCES[_spoken_kind(kind, subject, names)])
    what = _what(kind, subject, names)
    return capfirst(sentence % {"what": what, "task": names.task(subject.partition("#")[0])})


def _spoken_kind(kind: str, subject: str, names: Names) -> str:
    need = names.holding.requirement_by_key.get(subject)
    if need is not None and need.release:
        return "official document"
    if need is not None and kind == "requirement satisfied":
        return OF_READINGS.get(need.kind, kind)
    return kind


def _what(kind: str, subject: str, names: Names) -> str:
    if kind == "question answered":
        return fact_words(subject, names)
    if kind == "signature":
        return party_words(subject)
    return {"task accepted": names.task, "gate cleared": names.gate}.get(kind, names.requirement)(subject)


def fact_words(fact: str, names: Names) -> str:
    """A fact as its question has it; answered ones have left the questions, so the definition is asked too."""
    found = names.fact(fact)
    if found != fact:
        return found
    definition = facts_of(names.holding.project, names.holding.newest_entry).definitions.get(fact)
    return in_language(definition.text) if definition else fact
