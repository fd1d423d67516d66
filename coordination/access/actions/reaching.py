"""How a company is reached: whom to ask for, by which telephone, and where notices are mailed to."""

from datetime import datetime

from coordination.access.actions.suppliers import written_address
from coordination.access.deciding import deciding
from coordination.access.models import Assignment, Company, Membership, Project
from coordination.access.permissions import require
from coordination.access.refusals import CannotBeSo, NotVisible, Reason
from coordination.access.visitors import Visitor

RUNS_A_SITE = ("coordinator", "contractor")


def set_reach(
    project: Project, visitor: Visitor, at: datetime, company: Company, *, contact: str, phone: str, email: str
) -> Company:  # fmt: skip
    """Write down how a company that does work here is reached. The same again changes nothing.

    Its particulars are the same on every site of the supplier: a contractor alters them only where nobody else's
    site is concerned. Raises NotAllowed, CannotBeSo, and NotVisible for a company that does no work here.
    """
    require(visitor, "assign a company")
    told = {"contact": contact.strip(), "phone": phone.strip()}
    told["email"] = written_address(email) if email.strip() else ""
    with deciding(project, visitor, at) as pen:
        _refuse_what_is_not_theirs(project, visitor, company)
        known = Company.objects.get(pk=company.pk)
        before = {name: getattr(known, name) for name in told if getattr(known, name) != told[name]}
        if not before:
            pen.leave_as_it_is()
            return known
        body = {"company": known.name, **{name: told[name] for name in before}, "was": before}
        pen.write("company reach set", subject=str(known.uid), body=body)
        Company.objects.filter(pk=known.pk).update(**told)
        known.refresh_from_db()
        return known


def _refuse_what_is_not_theirs(project: Project, visitor: Visitor, company: Company) -> None:
    standing = Assignment.objects.filter(company=company, ended_at__isnull=True)
    sites = set(standing.values_list("project_id", flat=True))
    if project.pk not in sites:
        raise NotVisible
    if "coordinator" not in visitor.roles and sites - _run_by(visitor):
        raise CannotBeSo(Reason("company works elsewhere", {"name": company.name}))


def _run_by(visitor: Visitor) -> set[int]:
    """The sites that the visitor has the say on, by their own key."""
    _kind, _, uid = visitor.identity.partition(":")
    rows = Membership.objects.filter(person__uid=uid, role__in=RUNS_A_SITE, left_at__isnull=True)
    return set(rows.values_list("project_id", flat=True))
