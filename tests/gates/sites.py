"""A small job on the standing cast, worked on through the real actions."""

import io
import uuid
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from PIL import Image

from coordination.access import actions as access
from coordination.access.deciding import deciding
from coordination.evidence.actions import hand_in
from coordination.evidence.arrivals import take_in
from coordination.evidence.entering import EnteredFor
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence
from coordination.gates import actions
from coordination.gates.actions.varying import VariancePaper
from coordination.gates.models import Clearing
from coordination.projects.changing import lay_beside
from coordination.projects.models import Authority, FactEntry, Gate, PlanChange, Requirement, Task
from coordination.siteprep.plan import Condition, Link, Place, Plan, Source
from coordination.siteprep.plan import Requirement as Asked
from tests.projects.small_plans import gate, photo, plan, task
from tests.standing_cast import AT, Cast, gather
from tests.standing_rows import remembered

INCH = 25_400_000
CODE = Source("a standard", "1.2", "code", "")
PRACTICE = Source("common practice", "", "practice", "")


def reading(task_key: str, key: str, **more: Any) -> Asked:
    told: dict[str, Any] = {"kind": "reading", "text": {"en": key}, "source": PRACTICE, "unit": "length"}
    return Asked(task=task_key, key=key, **{**told, **more})


BACKING = task(
    "backing@rail-wall",
    "framing",
    first_line={"en": "continuous backing both sides, 30 in apart"},
    requirements=(
        photo("backing@rail-wall", "left", accepts="contractor", deputy="coordinator", answer_hours=16),
        reading(
            "backing@rail-wall",
            "spread",
            low=29 * INCH,
            high=31 * INCH,
            accepts="coordinator",
            deputy="contractor",
            answer_hours=24,
            lift_critical=True,
            concede=("coordinator", "contractor"),
        ),
    ),
)
ROUGH = task(
    "rough@pit",
    "electrical",
    requirements=(
        photo("rough@pit", "receptacle", accepts=None),
        Asked(
            task="rough@pit",
            key="inspection",
            kind="document",
            text={"en": "Electrical inspection"},
            source=CODE,
            release="electrical",
        ),
    ),
)
SWEEP = task("sweep@pit", "general contractor", requirements=())
BOARD = task("board@rail-wall", "drywall", requirements=())
RAILS = task("rails@hoistway", "lift", requirements=())
CLOSE, CLOSE_IN = gate(
    "close-in",
    Condition("task accepted", BACKING.key),
    Condition("requirement satisfied", "rough@pit#inspection"),
    Condition("question answered", "pit.sump"),
    signers=("contractor", "lift crew"),
)
LAST, HANDOVER = gate("handover", Condition("gate cleared", "close-in"), signers=())
JOB = plan(
    BACKING,
    ROUGH,
    SWEEP,
    BOARD,
    RAILS,
    CLOSE,
    LAST,
    links=(
        Link(BACKING.key, BOARD.key, "covers"),
        Link(BACKING.key, RAILS.key, "FS", handoff=True, receiver_note={"en": "the spread"}),
        Link(CLOSE.key, BOARD.key, "FS"),
        Link(RAILS.key, LAST.key, "FS"),
    ),
    gates=(CLOSE_IN, HANDOVER),
    places=(
        Place("pit", "pit", {"en": "Pit"}),
        Place("rail-wall", "rail wall", {"en": "Rail wall"}),
        Place("hoistway", "hoistway", {"en": "Hoistway"}),
        Place("site", "site", {"en": "Site"}),
    ),
    drawing_revision="C",
)
TEXTED = EnteredFor(source="texted photo")


def picture(shade: int = 128) -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (400, 300), (shade, shade, 90)).save(file, "JPEG")
    return file.getvalue()


@dataclass
class Site:
    """The job as its people work on it. ``at`` moves on with every step."""

    cast: Cast
    at: datetime = AT
    shade: int = 0
    keys: list[uuid.UUID] = field(default_factory=list)

    @property
    def project(self):
        return self.cast.project

    def who(self, name: str):
        return self.cast.visitor(name, self.at)

    def task(self, key: str) -> Task:
        return Task.objects.get(project=self.project, key=key)

    def need(self, key: str) -> Requirement:
        task_key, _, name = key.partition("#")
        return Requirement.objects.get(task__project=self.project, task__key=task_key, key=name)

    def gate(self, key: str) -> Gate:
        return Gate.objects.get(task__project=self.project, key=key)

    def clearing(self, key: str) -> Clearing:
        return Clearing.objects.filter(gate__task__project=self.project, gate__key=key).latest("round")

    def step(self, **ahead: int) -> datetime:
        self.at += timedelta(**(ahead or {"minutes": 5}))
        return self.at

    def lay(self, derived: Plan) -> PlanChange:
        with deciding(self.project, self.who("coordinator"), self.step()) as pen:
            event = pen.write("facts entered", subject="facts", body={})
            change = lay_beside(self.project, derived, event)
        assert change is not None
        return change

    def accept(self, derived: Plan):
        change = self.lay(derived)
        return actions.accept_change(self.project, self.who("coordinator"), self.step(), change.uid)

    def start(self, key: str, by: str, **more: Any) -> Task:
        return actions.start_task(self.project, self.who(by), self.step(), self.task(key).uid, **more)

    def photo(self, key: str, by: str, **more: Any) -> Evidence:
        self.shade += 1
        arrived = take_in(self.project, picture(self.shade), kind="photo", file_name="left.jpg")
        item = HandIn(uuid.uuid4(), blob=arrived.blob, image=arrived.image, file_name="left.jpg")
        return self.hand_in(key, by, item, **more)

    def read(self, key: str, by: str, typed: str, **more: Any) -> Evidence:
        return self.hand_in(key, by, HandIn(uuid.uuid4(), typed=typed, instrument="tape"), **more)

    def document(
        self, key: str, by: str, content: bytes = b"", *, number: str = "E-77", dated=None, **more: Any
    ) -> Evidence:
        """A picture of a paper, or a PDF as ``content``."""
        self.shade += 1
        name = "card.pdf" if content else "card.jpg"
        arrived = take_in(self.project, content or picture(self.shade), kind="document", file_name=name)
        inspection = self.need(key).terms.get("inspection")
        item = HandIn(
            uuid.uuid4(),
            blob=arrived.blob,
            image=arrived.image,
            file_name=name if content else "",
            number=number,
            dated=dated or self.at.date(),
            result="passed" if inspection else "",
        )
        return self.hand_in(key, by, item, **more)

    def hand_in(self, key: str, by: str, item: HandIn, **more: Any) -> Evidence:
        return hand_in(self.project, self.who(by), self.step(), self.need(key).uid, item, **more)

    def review(self, key: str, by: str, outcome: str = "accepted", *reasons: str):
        return actions.review_requirement(
            self.project, self.who(by), self.step(), self.need(key).uid, outcome, reasons=reasons
        )

    def offer(self, key: str, by: str, **more: Any):
        return actions.offer_task(self.project, self.who(by), self.step(), self.task(key).uid, **more)

    def answer(self, offer, receiver: str, by: str, outcome: str = "accepted", *reasons: str, **more: Any):
        return actions.answer_handoff(
            self.project,
            self.who(by),
            self.step(),
            offer.uid,
            self.task(receiver).uid,
            outcome=outcome,
            reasons=reasons,
            **more,
        )

    def stand_in(self, offer, receiver: str, by: str = "contractor", reason: str = "called twice"):
        return actions.accept_for_the_silent(
            self.project, self.who(by), self.step(), offer.uid, self.task(receiver).uid, reason=reason
        )

    def withdraw(self, evidence: Evidence, by: str, reason: str = "wrong wall"):
        return actions.withdraw_evidence(self.project, self.who(by), self.step(), evidence.uid, reason)

    def concede(self, key: str, by: str, **more: Any):
        told = {"kind": "concession", "reason": "shim ordered", "scope": "rail wall, left side"}
        return actions.grant_concession(
            self.project, self.who(by), self.step(), self.need(key).uid, **{**told, **more}
        )

    def vary(self, key: str, by: str = "contractor", **more: Any):
        """An authority's variance of which ``more`` says what is other than usual."""
        self.shade += 1
        arrived = take_in(self.project, picture(self.shade), kind="document", file_name="variance.jpg")
        told: dict[str, Any] = {"number": "V-12", "dated": self.at.date(), "blob": arrived.blob}
        told |= {"reason": "a deeper sump", "scope": "the pit", "file_name": "variance.jpg", **more}
        if "authority" not in told:
            told["authority"] = self.authority().uid
        need = self.need(key).uid
        return actions.attach_variance(self.project, self.who(by), self.step(), need, VariancePaper(**told))

    def authority(self, kind: str = "building") -> Authority:
        told = {"name": "Town Hall"}
        return Authority.objects.get_or_create(project=self.project, kind=kind, defaults=told)[0]

    def sign(self, key: str, by: str, **more: Any):
        statement = {"statement": "All of it is in place."}
        return actions.sign_gate(
            self.project, self.who(by), self.step(), self.gate(key).uid, **{**statement, **more}
        )

    def clear(self, key: str, by: str = "contractor") -> Clearing:
        return actions.clear_gate(self.project, self.who(by), self.step(), self.gate(key).uid)

    # ways through the job
    def back(self) -> None:
        """Backing is begun, shown, accepted and handed to the lift crew."""
        self.start(BACKING.key, "framer")
        self.photo("backing@rail-wall#left", "framer")
        self.read("backing@rail-wall#spread", "framer", '30"')
        offer = self.offer(BACKING.key, "framer")
        self.review("backing@rail-wall#left", "contractor")
        self.review("backing@rail-wall#spread", "coordinator")
        self.answer(offer, RAILS.key, "crew")

    def inspect(self) -> None:
        """The electrician's work is begun and inspected."""
        self.start(ROUGH.key, "electrician")
        self.photo("rough@pit#receptacle", "electrician")
        self.document("rough@pit#inspection", "contractor")

    def state(self, fact: str, value: Any, state: str = "known") -> None:
        """State a fact from which the same plan follows."""
        with deciding(self.project, self.who("coordinator"), self.step()) as pen:
            FactEntry.objects.create(
                project=self.project,
                key=fact,
                seq=FactEntry.objects.filter(project=self.project, key=fact).count() + 1,
                state=state,
                value=value,
                typed=str(value),
                said_by="engineer",
                said_on=self.at.date(),
                event=pen.write("facts entered", subject=fact, body={fact: value}),
            )

    def settle(self) -> None:
        """The one open question is answered."""
        self.state("pit.sump", False)

    def ready(self) -> None:
        self.back()
        self.inspect()
        self.settle()

    def signed(self) -> None:
        self.ready()
        self.sign("close-in", "contractor")
        self.sign("close-in", "crew")


@remembered
def build(prefix: str = "", derived: Plan = JOB) -> Site:
    """A project with an accepted plan and companies for all its trades."""
    cast = gather(prefix)
    site = Site(cast)
    for trade, company in (("drywall", "other electrician"),):
        access.assign_company(
            cast.project, site.who("coordinator"), site.step(), trade=trade, company=cast.companies[company]
        )
    site.accept(derived)
    return site


def with_requirement(old: Plan, task_key: str, asked: Asked) -> Plan:
    """``old`` with one requirement in the place of the one with its key."""
    tasks = []
    for each in old.tasks:
        if each.key == task_key:
            needs = tuple(asked if need.key == asked.key else need for need in each.requirements)
            tasks.append(replace(each, requirements=needs))
        else:
            tasks.append(each)
    return replace(old, tasks=tuple(tasks))
