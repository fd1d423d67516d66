"""Rule 1, the way round: who may concede what, and what only an authority's own document lets go."""

from collections import Counter
from collections.abc import Iterator

from coordination.gates.models import VARIANCE, Concession
from coordination.gates.rules.case import Breach, Case
from coordination.gates.variances import document_of, variance_of
from coordination.record.queries import Decision


def concessions_were_granted(case: Case) -> Iterator[Breach]:
    """Each concession has its roles, its reason and its scope, and none is for what cannot be conceded."""
    for row in case.concessions:
        subject = str(row.requirement)
        if row.requirement.release and row.terms_sha == row.requirement.terms_sha:
            yield Breach(1, "conceded what an authority releases", subject, row.requirement.release)
        yield from _of_variance(case, row, subject)
        named, same_terms = set(row.requirement.concede), row.terms_sha == row.requirement.terms_sha
        if row.kind != VARIANCE and same_terms and set(row.needs) != named:
            yield Breach(1, "conceded by other roles than named", subject, ", ".join(row.needs))
        if not row.needs or not row.reason.strip() or not row.scope.strip():
            yield Breach(1, "conceded without roles, reason or scope", subject)
        yield from _voices(case, row, subject)


def _of_variance(case: Case, row: Concession, subject: str) -> Iterator[Breach]:
    """A variance is for what nobody concedes, and says what was decided on the authority's document."""
    paper = variance_of(row)
    if row.kind != VARIANCE:
        if paper is not None:
            yield Breach(1, "a concession with a variance's document", subject, paper.number)
        return
    if row.requirement.concede and row.terms_sha == row.requirement.terms_sha:
        yield Breach(1, "a variance of what may be conceded", subject, ", ".join(row.requirement.concede))
    if paper is None or not paper.number.strip():
        yield Breach(1, "a variance without the authority's document", subject)
        return
    if not case.told("variance attached", concession=str(row.uid), **document_of(paper)):
        yield Breach(1, "a variance other than decided", subject, paper.number)


def _voices(case: Case, row: Concession, subject: str) -> Iterator[Breach]:
    voices = [voice for voice in case.voices if voice.concession_id == row.pk]
    for person, count in Counter(voice.spoken_by for voice in voices).items():
        if count > 1:
            yield Breach(1, "one person spoke for two roles", subject, person)
    for voice in voices:
        decision = case.by_seq.get(voice.event.seq)
        if voice.role not in row.needs or not _spoke(decision, voice.role, voice.spoken_by):
            yield Breach(1, "a role spoke that may not", subject, voice.role)


def _spoke(decision: Decision | None, role: str, identity: str) -> bool:
    return (
        decision is not None
        and decision.actor["identity"] == identity
        and role in decision.actor.get("roles", ())
    )
