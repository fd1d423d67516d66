"""Rule 2, for inspections, witnesses and what people added: each row says what its event says."""

from collections.abc import Iterator

from coordination.evidence.models import FAILED
from coordination.gates.models import Attendance, Inspection, InspectionItem, WitnessNotice
from coordination.gates.rules.case import Breach, Case


def holds_were_decided(case: Case) -> Iterator[Breach]:
    """Inspections with their items, notices with who came, and every gate and task that no plan brings."""
    yield from _inspections(case)
    yield from _witnesses(case)
    told = {str(item.body.get("task")) for item in case.told("work added")}
    told |= {
        str(one["task"])
        for item in case.told("inspection failed", "inspection passed")
        for one in item.body["not_passed"]
    }
    gates = {item.body["gate"] for item in case.told("gate added")}
    holding = case.scene.holding
    for task in holding.tasks:
        if task.own and not task.is_gate and str(task.uid) not in told:
            yield Breach(2, "added without a decision", task.key)
    for gate in holding.gates:
        if holding.task[gate.task_id].own and gate.key not in gates:
            yield Breach(2, "added without a decision", gate.key)


def _inspections(case: Case) -> Iterator[Breach]:
    items: dict[int, set[str]] = {}
    for item in InspectionItem.objects.filter(task__project=case.project).select_related("task"):
        items.setdefault(item.inspection_id, set()).add(str(item.task.uid))
    rows = Inspection.objects.filter(evidence__requirement__task__project=case.project)
    for row in rows.select_related("evidence__requirement__task", "event"):
        decision = case.by_seq.get(row.event.seq)
        verb = "inspection failed" if row.evidence.result == FAILED else "inspection passed"
        told = decision.body if decision and decision.verb == verb else {}
        found = (
            str(row.uid),
            row.evidence.result,
            row.round,
            row.again_on.isoformat() if row.again_on else None,
        )
        said = tuple(told.get(name) for name in ("inspection", "result", "round", "again_on"))
        asked = {str(one["task"]) for one in told.get("not_passed", ())}
        if found != said or items.get(row.pk, set()) != asked:
            yield Breach(2, "an inspection other than entered", str(row.evidence.requirement), str(row.round))


def _witnesses(case: Case) -> Iterator[Breach]:
    for row in WitnessNotice.objects.filter(task__project=case.project).select_related("task", "event"):
        decision = case.by_seq.get(row.event.seq)
        told = decision.body if decision and decision.verb == "witness told" else {}
        if (told.get("point"), told.get("day"), told.get("how")) != (
            row.point,
            row.for_day.isoformat(),
            row.how,
        ):
            yield Breach(2, "a witness other than told", row.task.key, row.party)
    said = Attendance.objects.filter(notice__task__project=case.project)
    for word in said.select_related("notice__task", "event"):
        decision = case.by_seq.get(word.event.seq)
        told = decision.body if decision and decision.verb == "witness attended" else {}
        if (told.get("notice"), told.get("attended"), told.get("who")) != (
            str(word.notice.uid),
            word.attended,
            word.who,
        ):
            yield Breach(2, "attended other than said", word.notice.task.key, word.notice.party)
