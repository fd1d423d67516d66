"""Rules 3 and 8: a cleared gate is the snapshot that was decided, and it stands only for what it read."""

import hashlib
import json
from collections.abc import Iterator

from coordination.gates.models import Clearing
from coordination.gates.ordering import last_gate
from coordination.gates.rules.case import Breach, Case


def clearings_stand(case: Case) -> Iterator[Breach]:
    """Each clearing against its event and its signatures; each standing one against what it reads now."""
    for row in case.clearings:
        yield from _of_clearing(case, row)
        if row.reopened_at is None:
            yield from _of_standing(case, row)
        elif not _reopened_by_decision(case, row):
            yield Breach(3, "reopened without a decision", row.gate.key, str(row.round))
    yield from _nobody_else_moves_the_car(case)


def _of_clearing(case: Case, row: Clearing) -> Iterator[Breach]:
    snapshot = bytes(row.snapshot)
    decision = case.by_seq.get(row.event.seq)
    told = decision.body if decision and decision.verb == "gate cleared" else {}
    if hashlib.sha256(snapshot).hexdigest() != row.sha256 or told.get("snapshot_sha256") != row.sha256:
        yield Breach(3, "the snapshot is not the one that was decided", row.gate.key, str(row.round))
    elif json.loads(snapshot)["head_before"]["hash"] != row.event.prev:
        yield Breach(3, "the snapshot hangs elsewhere in the record", row.gate.key, str(row.round))
    if told.get("digest") != row.digest or told.get("clearing") != str(row.uid):
        yield Breach(3, "cleared other than decided", row.gate.key, str(row.round))
    signed = {
        item.role
        for item in case.signatures
        if item.gate_id == row.gate_id and item.round == row.round and item.digest == row.digest
    }
    for role in sorted(_signers(case, row) - signed):
        yield Breach(3, "cleared without a signature", row.gate.key, role)


def _signers(case: Case, row: Clearing) -> set[str]:
    """Who had to sign: for a standing clearing the gate as it is, for an older one as it says itself."""
    if row.reopened_at is None:
        return set(row.gate.signers)
    return {item["role"] for item in json.loads(bytes(row.snapshot))["signatures"]}


def _of_standing(case: Case, row: Clearing) -> Iterator[Breach]:
    holding = case.scene.holding
    if holding.plan_settled and case.scene.reading.digest(row.gate) != row.digest:
        yield Breach(3, "stands although what it read has changed", row.gate.key, str(row.round))


def _reopened_by_decision(case: Case, row: Clearing) -> bool:
    return any(
        item["clearing"] == str(row.uid)
        for decision in case.decisions
        for item in decision.body.get("reopens", ())
    )


def _nobody_else_moves_the_car(case: Case) -> Iterator[Breach]:
    """Rule 8: the last gate stands only with every document of the elevator authority."""
    last = last_gate(case.scene.holding)
    if last is None or case.scene.holding.standing_clearing(last) is None:
        return
    holding = case.scene.holding
    for row in holding.requirements:
        live = row.release == "elevator" and holding.task[row.task_id].retired_in is None
        if live and not holding.shown[row.pk].released:
            yield Breach(8, "handed over without the authority's document", last.key, holding.key_of(row))
