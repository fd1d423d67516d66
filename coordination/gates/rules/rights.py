"""Rule 6: whoever decided something had a role that may."""

from collections.abc import Iterator, Mapping

from coordination.access.permissions import TABLE
from coordination.gates.rules.case import Breach, Case

# What each verb of the record needs. Verbs of higher floors are not judged here.
NEEDS: Mapping[str, tuple[str, ...]] = {
    "facts entered": ("change facts", "answer a question"),
    "question answered": ("answer a question",),
    "authority set": ("answer a question",),
    "local rules laid down": ("change facts",),
    "local rules withdrawn": ("change facts",),
    "plan accepted": ("accept a change of plan",),
    "work begun": ("start a task",),
    "calculation kept": ("hand in evidence",),
    "evidence handed in": ("hand in evidence", "attach an authority's document"),
    "evidence withdrawn": ("withdraw evidence", "attach an authority's document"),
    "photo marked": ("mark a photo",),
    "mark taken back": ("mark a photo",),
    "mark made a reason": ("answer a handoff",),
    "evidence accepted": ("review evidence",),
    "evidence refused": ("review evidence",),
    "work offered": ("offer a task",),
    "work done": ("offer a task",),
    "handoff accepted": ("answer a handoff",),
    "handoff refused": ("answer a handoff",),
    "concession granted": ("grant a concession",),
    "concession spoken for": ("grant a concession",),
    "concession ended": ("grant a concession", "attach an authority's document"),
    "variance attached": ("attach an authority's document",),
    "gate added": ("add a gate",),
    "work added": ("add work", "take up a remark"),
    "work taken back": ("add work",),
    "inspection passed": ("attach an authority's document",),
    "inspection failed": ("attach an authority's document",),
    "witness point added": ("add a gate",),
    "witness point taken back": ("add a gate",),
    "witness told": ("tell a witness",),
    "witness attended": ("tell a witness",),
    "gate taken back": ("add a gate",),
    "gate signed": ("sign a gate",),
    "gate cleared": ("clear a gate",),
    "visit confirmed": ("book a visit",),
    "site-ready statement signed": ("sign the site-ready statement",),
}
OF_THE_PROGRAM = frozenset({"concession lapsed", "gates reopened"})


def deciders_had_the_right(case: Case) -> Iterator[Breach]:
    """Each decision by its actor's roles, as the record keeps them; the program decides only what time decides."""
    for decision in case.decisions:
        wanted = NEEDS.get(decision.verb)
        if wanted is None:
            continue
        roles = decision.actor.get("roles", ())
        if not any(role in TABLE[verb] for verb in wanted for role in roles):
            yield Breach(6, "decided without the right to", decision.subject, decision.verb)
        if decision.body.get("entered_for") and not any(
            role in TABLE["enter for a company"] for role in roles
        ):
            yield Breach(6, "entered for another without the right to", decision.subject, decision.verb)
