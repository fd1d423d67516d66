"""A run in a language of marks: what comes to a reader without them was never given to a translator.

Every answer of gettext and every text of the catalogue comes back as ⟦…⟧, with what is put into it left outside the
marks. On each page, in each mail and in the gate report only marked words and the job's own data may then be read.
"""

import importlib
import io
import json
import pkgutil
import uuid
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any, get_args
from zoneinfo import ZoneInfo

import pytest
from django.core import mail
from django.template import engines
from django.test import Client
from django.urls import get_resolver, reverse
from django.utils import translation
from pypdf import PdfWriter

from coordination import siteprep
from coordination.access.models import Person
from coordination.evidence.marking import MarkInput, put_mark
from coordination.evidence.models import RESULTS, Evidence
from coordination.gates.actions import put_answer_mark
from coordination.gates.awaited import Awaited
from coordination.gates.cited import DOCUMENTS
from coordination.gates.clauses import CLAUSES
from coordination.gates.models import AnswerPhoto, Offer
from coordination.gates.sentences import state_words
from coordination.handover.composing import compose_gate_report
from coordination.handover.final_words import final_order
from coordination.handover.models import Report
from coordination.handover.packing.checking_words import COMMANDS
from coordination.handover.packing.laying import Wanted, lay
from coordination.handover.packing.sinks import FolderSink
from coordination.handover.reading import Reader, kind_words, outcome_words, result_words
from coordination.handover.whole import whole_of
from coordination.notices.actions import read_on, send
from coordination.notices.mails import Addressee, mail_of
from coordination.notices.models import Message
from coordination.notices.queries import unread, unsent
from coordination.notices.telling import KINDS
from coordination.paper import Order
from coordination.projects.models import Authority
from coordination.readiness.answers import TaskState
from coordination.readiness.standing import Outcome
from coordination.record.queries import Decision
from coordination.siteprep.calculations.registry import CALCULATIONS
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.handover_items import handover_list
from coordination.siteprep.plan import Question
from coordination.siteprep.sources import Source
from coordination.web.mail import mail_sign_in_link
from coordination.web.shapes.calculation_words import CHOICES
from tests.gates.sites import JOB, RAILS, SWEEP, Site, build
from tests.gates.test_inspecting import JOB_INSPECTED
from tests.gates.test_refusal_photos import seen
from tests.handover.held_on_record import TYPED, WATCHED, last_clearing, site_with_all
from tests.web.marks import Reading, answer_in_marks, forget_what_was_read, found_in, in_both, plan_in_both
from tests.web.sites import browser, paper
from tests.web.test_calculators import example, posted

ASKING = Question(
    "pit.sump",
    {"en": "A sump in the pit"},
    "elevator",
    ("rough@pit",),
    {"en": "Leave room for one."},
    ({"en": "One reading"}, {"en": "Another reading"}),
)
# How a condition or requirement can have been met at a clearing, beside the outcomes; what does not conform.
HOWS = ("done", "conceded", "released", "answered", "signed", "cleared", "present", "not enough")
HOWS += ("out of tolerance", "not reviewed")
ROLES = (
    "coordinator",
    "contractor",
    "crew",
    "electrician",
    "framer",
    "owner",
    "stranger",
    "by link: electrician",
    "by link: owner",
    "by link: inspector",
    "by link: expired",
    "nobody",
)


def data_of(site: Site) -> tuple[str, ...]:
    """What the job's people have typed, longest first."""
    cast = site.cast
    known = {
        "Harrow Lane",
        "12 Harrow Lane",
        "all of it is seen",
        "shim ordered",
        "rail wall, left side",
        "wrong wall",
        "blocking stops short",
        *("Z9", "L9"),
        "too dark",
        "All of it is in place.",
        "left.jpg",
        "card.jpg",
        "tape",
        "E-77",
        "EL-4471",
        "State elevator safety board",
        "False",
        "deep",
        "engineer",
        # the small plan's drawing, its fact without a question, its source; model sheets on file
        *("C", "D", "pit.sump", "a standard", "Ferry 45", "Gunwale p", "Wherry 3"),
    }
    for company in cast.companies.values():
        known |= {company.name, company.contact, company.phone}
    for person in cast.people.values():
        known |= {person.name, person.email, person.phone}
    return tuple(sorted(filter(None, known), key=len, reverse=True))


# ---- the job, as far as its people have come
def offered(site: Site) -> None:
    """Work under way: shown, offered, one thing refused, one conceded, one question open."""
    site.start("backing@rail-wall", "framer")
    photo = site.photo("backing@rail-wall#left", "framer")
    ring = MarkInput(uuid.uuid4(), "ring", ((1000, 2000), (3000, 4000)), "blocking stops short")
    put_mark(site.project, site.who("framer"), site.step(), photo.uid, ring)
    site.read("backing@rail-wall#spread", "framer", '32"')
    for role in ("coordinator", "contractor"):
        site.concede("backing@rail-wall#spread", role)
    first = site.offer("backing@rail-wall", "framer")
    site.answer(first, RAILS.key, "crew", "refused", "too dark", photos=[seen(site, 90)])
    wrong = replace(ring, sender_key=uuid.uuid4())
    put_answer_mark(site.project, site.who("crew"), site.step(), AnswerPhoto.objects.get().uid, wrong)
    site.offer("backing@rail-wall", "framer", crew_waiting=True)
    site.review("backing@rail-wall#left", "contractor", "refused", "too dark")
    site.start("sweep@pit", "contractor")


def cleared(site: Site) -> None:
    """A gate cleared, its report made, work begun behind it."""
    site.signed()
    site.clear("close-in")
    site.start("board@rail-wall", "other electrician")


def reopened(site: Site) -> None:
    """The same, and something that the gate rested on is taken back."""
    cleared(site)
    site.withdraw(Evidence.objects.get(requirement=site.need("backing@rail-wall#left")), "framer")


def changed(site: Site) -> None:
    """A change of plan lies beside the plan and waits to be accepted."""
    offered(site)
    tasks = tuple(each for each in JOB_INSPECTED.tasks if each.key != SWEEP.key)
    site.lay(plan_in_both(replace(JOB_INSPECTED, tasks=tasks, drawing_revision="D")))


STAGES: dict[str, Callable[[Site], None]] = {
    "laid out": lambda site: None,
    "offered": offered,
    "cleared": cleared,
    "reopened": reopened,
    "changed": changed,
}


@pytest.fixture
def marks(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """From here on translators and the catalogue answer in marks."""
    answer_in_marks(monkeypatch)
    yield
    monkeypatch.undo()
    forget_what_was_read()


@pytest.fixture
def site(db: Any, now: Any, marks: None) -> Site:
    site = build(derived=plan_in_both(replace(JOB_INSPECTED, questions=(ASKING,))))
    Person.objects.update(language="es")
    Authority.objects.update_or_create(
        project=site.project,
        kind="elevator",
        defaults={"name": "State elevator safety board", "phone": "555-0199", "permit": "EL-4471"},
    )
    return site


def addresses(site: Site) -> dict[str, list[str]]:
    """Every page of the address plan that somebody can turn to, by its name there."""
    uid = site.project.uid
    task, gate = site.task("backing@rail-wall").uid, site.gate("close-in").task.uid
    photo, refused = Evidence.objects.filter(image__isnull=False).first(), AnswerPhoto.objects.first()

    def at(name: str, *more: Any) -> str:
        return reverse(name, args=[uid, *more])

    plain = (
        "home",
        "sign-in",
        "sign-in-sent",
        "sites",
        "new-site",
        "help",
        "calculators",
        "calendars",
        "phone",
    )
    of_site = (
        *(
            "project",
            "facts",
            "questions",
            "rules",
            "site-position",
            "change",
            "packages",
            "dates",
            "what-if",
            "visits",
            "record",
            "companies",
            "owed",
            "my-owed",
        ),
        *(
            "authorities",
            "working-days",
            "links",
            "reviews",
            "trade-sheets",
            "my-tasks",
            "gates",
            "standing",
            "handover",
        ),
        *("look-ahead", "done-by", "own-gate", "own-work", "concessions", "witness"),
    )
    found = {name: [reverse(name)] for name in plain} | {name: [at(name)] for name in of_site}
    found |= {
        "link": [reverse("link", args=[site.cast.tokens["owner"]]), reverse("link", args=["never-was"])],
        "place": [at("place", key) for key in ("pit", "rail-wall")],
        "letter": [at("letter", "pit.sump"), at("letter", "pit.sump") + "?to=engineer"],
        "task": [at("task", task), at("task", gate), at("task", site.task("rough@pit").uid)],
        "my-task": [at("my-task", task), at("my-task", site.task("rough@pit").uid)],
        "trade-sheet": [at("trade-sheet", "framing", "rail-wall"), at("trade-sheet", "electrical", "pit")],
        "gate": [at("gate", gate), at("gate", site.gate("handover").task.uid)],
        "inspection": [at("inspection", site.need("rough@pit#inspection").uid)],
        "variance": [at("variance", site.need("rough@pit#receptacle").uid)],
        "visit": [at("visit", "rails"), at("visit", "inspection")],
        "site-ready": [at("site-ready", "rails")],
        "calls": [reverse("calls")],
        "report-checks": [reverse("report-checks")],
        "report-check": [
            reverse("report-check", args=["AAAAA-AAAAA"]),
            *(reverse("report-check", args=[code]) for code in Report.objects.values_list("code", flat=True)),
        ],
        "delay": [at("delay")],
        "crews": [reverse("crews", args=[site.cast.supplier.uid])],
        "crews-entering": [reverse("crews-entering", args=[site.cast.supplier.uid])],
        "papers": [at("papers")],
        "final-list": [at("final-list")],
        "place-evidence": [at("place-evidence", "rail-wall"), at("place-evidence", "pit")],
        "task-evidence": [at("task-evidence", task)],
        "calculator": [reverse("calculator", args=[name]) + "?example" for name in CALCULATIONS],
    }
    if photo is not None:
        found["media-figure"] = [reverse("media-figure", args=[photo.uid])]
        found["photo"] = [reverse("photo", args=[photo.uid])]
        found["evidence-photo"] = [at("evidence-photo", photo.uid)]
    if refused is not None:
        found["refused-photo"] = [reverse("refused-photo", args=[refused.uid])]
    return found


# Addresses that only act, give files, are read through another page, or show specimens to developers.
NO_PAGES = {
    *("crews-level", "crews-stop", "delay-pdf", "mark-take-back"),
    *("review", "components", "call", "site-ready-pdf"),
    *("feed", "calendar-take-back", "my-calendar", "look-ahead-pdf", "look-ahead-all-pdf"),
    *("package-done-by", "done-by-confirm", "done-by-table", "order-of-work"),
    *("sign-out", "language", "letter-text", "letter-pdf", "task-dates", "link-revoke", "task-doing"),
    *("handoff-in-their-place", "refusal-figure", "refusal-photo"),
    *("refused-photo-take-back", "refused-photo-reason"),
    *("requirement-doing", "handoff-answer", "trade-sheets-pdf", "trade-sheet-pdf", "my-handing-in"),
    *(
        "reading-check",
        "series-calculation",
        "media",
        "gate-doing",
        "owner-concession",
        "report",
        "remark",
        "report-wish",
        "remark-take-up",
    ),
    *("manifest", "worker", "sending-file", "sending-evidence", "sending-task"),
    *("owner-concession-end", "calculator-hand-in", "official-result", "variance-scan"),
    *("rules-file", "rules-example", "design", "recall-test"),
    *(
        "week-pdf",
        "brief-pdf",
        "site-recall-test",
        "pack-file",
        "pack-asking",
        "final-list-pdf",
        "final-list-item",
    ),
    *("place-evidence-pdf", "task-evidence-pdf", "evidence-copy"),
}


def browsers(site: Site) -> Iterator[tuple[str, Client]]:
    for name in ROLES:
        client = Client() if name == "nobody" else browser(site)(name)
        client.cookies["django_language"] = "es"
        yield name, client


def test_every_address_is_gone_through_or_known_to_be_no_page(site: Site) -> None:
    offered(site)
    names = {name for name in get_resolver("coordination.web.urls").reverse_dict if isinstance(name, str)}
    assert names - NO_PAGES == set(addresses(site))


def told(wrong: dict[str, str]) -> list[str]:
    """What was found, for whoever must put it right; empty where all is well."""
    return [f"{where}: {text}" for text, where in wrong.items()]


@pytest.mark.parametrize("stage", STAGES)
def test_every_page_is_given_to_translators(site: Site, stage: str, monkeypatch: pytest.MonkeyPatch) -> None:
    STAGES[stage](site)
    if stage in {"cleared", "reopened"}:
        paper(site.clearing("close-in"), site.at, monkeypatch)
    data, wrong, seen = with_citations(site), {}, set()
    for role, client in browsers(site):
        for name, pages in addresses(site).items():
            if name == "calculator" and role != "coordinator":
                continue
            for address in pages[: 2 if stage != "laid out" else None]:
                answer = client.get(address)
                seen |= {name} if answer.status_code == 200 else set()
                for text in found_in(Reading(answer.content.decode()).texts, data):
                    wrong.setdefault(text, f"{name}, {role}, {answer.status_code}")
    assert told(wrong) == []
    if stage == "offered":
        assert set(addresses(site)) - seen == set()


def test_what_a_form_refuses_is_given_to_translators(site: Site) -> None:
    offered(site)
    task, gate, need = (
        site.task("backing@rail-wall"),
        site.gate("close-in"),
        site.need("rough@pit#receptacle"),
    )
    data = with_citations(site)
    wrong, uid = {}, site.project.uid
    client = dict(browsers(site))["coordinator"]
    sent: list[tuple[str, list[Any], dict[str, str]]] = [
        ("sign-in", [], {"email": "no address"}),
        ("new-site", [], {}),
        ("new-site", [], {"doing": "file"}),
        ("facts", [uid], {"pit.depth:state": "known", "pit.depth": "deep"}),
        ("companies", [uid], {"doing": "company"}),
        ("companies", [uid], {"doing": "reach", "line": "framing", "email": "nobody"}),
        ("companies", [uid], {"doing": "member"}),
        ("links", [uid], {}),
        ("visits", [uid], {}),
        ("review", [uid, site.need("backing@rail-wall#left").uid], {}),
        ("task-doing", [uid, task.uid, "offer"], {}),
        ("task-doing", [uid, site.task("board@rail-wall").uid, "begin"], {}),
        ("requirement-doing", [uid, need.uid, "hand-in"], {}),
        ("gate-doing", [uid, gate.task.uid, "sign"], {}),
        ("gate-doing", [uid, gate.task.uid, "clear"], {}),
        ("calculator", ["brackets"], {}),
        ("review", [uid, site.need("backing@rail-wall#left").uid], {"outcome": "refused"}),
        ("photo", [Evidence.objects.filter(blob__isnull=False)[0].uid], {"kind": "ring", "first": "Z9"}),
        ("calculator-hand-in", ["backing", uid], {"given": json.dumps(CALCULATIONS["backing"].example)}),
    ]
    refused = 0
    for name, arguments, fields_sent in sent:
        answer = client.post(reverse(name, args=arguments), fields_sent)
        refused += answer.status_code == 422
        for text in found_in(Reading(answer.content.decode()).texts, data):
            wrong.setdefault(text, f"{name}, {fields_sent}, {answer.status_code}")
    assert told(wrong) == []
    assert refused > 8


@pytest.mark.parametrize("name", CALCULATIONS)
def test_every_result_is_given_to_translators(cast: Any, marks: None, name: str) -> None:
    client = Client()
    client.force_login(cast.people["contractor"])
    client.cookies["django_language"] = "es"
    answer = client.post(reverse("calculator", args=[name]), posted(example(name)))
    assert answer.status_code == 200
    typed = {word for word in strings_in(CALCULATIONS[name].example) if word not in CHOICES} | NAMES_OF_THINGS
    data = tuple(sorted(typed | citations() | {"Harrow Lane"}, key=len, reverse=True))
    assert found_in(Reading(answer.content.decode()).texts, data) == []


def strings_in(node: Any) -> Iterator[str]:
    """What is typed into an example."""
    if isinstance(node, str):
        yield node
    for each in node.values() if isinstance(node, dict) else node if isinstance(node, list | tuple) else ():
        yield from strings_in(each)


# Names that the examples give to a level and to pieces of equipment; choices of other fields are called the same.
NAMES_OF_THINGS = {"pit", "controller", "power unit"}


@cache
def sources() -> frozenset[Source]:
    """Every source that the catalogue or a calculation names."""
    found = set(load_catalogue().sources.values()) | {item.source for item in handover_list().items}
    for module in pkgutil.walk_packages(siteprep.__path__, "coordination.siteprep."):
        found |= {
            thing
            for thing in vars(importlib.import_module(module.name)).values()
            if isinstance(thing, Source)
        }
    return frozenset(found)


def citations() -> set[str]:
    """Standards and clauses, which are cited as they are written."""
    documents = {source.document for source in sources()} - set(DOCUMENTS)
    return (documents | {source.clause for source in sources()}) - {""} - CLAUSES


def with_citations(site: Site) -> tuple[str, ...]:
    """What the job's people have typed, and what is cited as it is written; longest first."""
    return tuple(sorted({*data_of(site), *citations()}, key=len, reverse=True))


def test_every_mail_is_given_to_translators(site: Site) -> None:
    data, wrong = data_of(site), {}
    offered(site)
    sent = tell(site)
    other = build("far.", plan_in_both(replace(JOB, questions=(ASKING,))))
    Person.objects.update(language="es")
    reopened(other)
    sent += tell(other)
    question = Decision("", 1, "", site.at, None, {"name": "Ida Marsh"}, "question answered", "pit.sump", {})
    person = site.cast.people["contractor"]
    person.language = "es"
    to = Addressee(person.name, person.email, "es", frozenset({"coordinator"}))
    answered = mail_of(question, "answered", to, site.project)
    sent.append(mail.EmailMessage(answered.subject, answered.body))
    told_of = {"answer_by": "2026-03-03T12:00:00+00:00", "crew_waiting": True}
    asked = Decision(
        "", 1, "", site.at, None, {"name": "Bo Tran"}, "work offered", "backing@rail-wall", told_of
    )
    left, rails = site.need("backing@rail-wall#left"), site.task("rails@hoistway")
    waits = Awaited(Offer(), (left,), (rails,), 0, site.at, site.at)
    for kind, by_link in product(("reminded", "late", "unheard", "unreminded"), (False, True)):
        to = replace(to, roles=frozenset({"contractor"}), by_link=by_link)
        late = mail_of(asked, kind, to, site.project, waits=waits, unheard=["Copper Creek Framing"])
        sent.append(mail.EmailMessage(late.subject, late.body))
    mail.outbox.clear()
    mail_sign_in_link(person, "token")
    sent += mail.outbox
    kinds = set(Message.objects.values_list("kind", flat=True)) | {
        "answered",
        "reminded",
        "late",
        "unheard",
        "unreminded",
    }
    assert kinds == set(KINDS)
    for message in sent:
        for text in found_in([message.subject, *message.body.splitlines()], data):
            wrong.setdefault(text, message.subject)
    assert told(wrong) == []


def tell(site: Site) -> list[mail.EmailMessage]:
    """Read the record and send what it gives rise to."""
    mail.outbox.clear()
    while site.project.stream in unread(site.at):
        read_on(site.project.stream, site.at)
    for key in unsent(site.at):
        send(int(key), site.at)
    return list(mail.outbox)


def test_the_gate_report_is_given_to_translators(db: Any, now: Any, marks: None) -> None:
    site = site_with_all(plan_in_both(WATCHED))
    composed = compose_gate_report(last_clearing(site), language="es", paper="letter")
    drawing = bytes(composed.resources["drawing/section.svg"]).decode()
    texts = [composed.title, *Reading(composed.html).texts, *Reading(drawing).texts]
    data = tuple(sorted({*data_of(site), *TYPED}, key=len, reverse=True))
    assert found_in(texts, data) == []
    with translation.override("es"):
        final = final_order(whole_of(site.project, site.step()), language="es", paper="letter")
    data = tuple(sorted({*with_citations(site), *TYPED}, key=len, reverse=True))
    assert found_in([final.title, *Reading(final.html).texts], data) == []


def test_every_word_of_a_closed_list_is_given_to_translators(marks: None) -> None:
    """Also those that no job of these tests comes to: outcomes, results, states, kinds, units."""
    reader = Reader("es", "us", ZoneInfo("America/New_York"))
    needs = [need for entry in load_catalogue().tasks.values() for need in entry.requirements]
    with translation.override("es"):
        texts = [outcome_words(how) for how in (*get_args(Outcome), *HOWS)]
        texts += [result_words(result) for result in RESULTS]
        texts += [state_words(state) for state in get_args(TaskState)]
        texts += [kind_words(kind) for kind in {need.kind for need in needs}]
        texts += [reader.value(3, unit) for unit in {need.unit for need in needs if need.unit}]
    assert len(texts) > 30
    assert found_in(texts, ()) == []


def test_papers_made_on_demand_are_given_to_translators(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[str] = []
    blank = io.BytesIO()
    writer = PdfWriter()
    writer.add_blank_page(100, 100)
    writer.write(blank)

    def keep(order: Order, *, limit: float) -> bytes:
        made.extend([order.html, order.title])
        made.extend(
            bytes(each).decode() if not isinstance(each, str) else each for each in drawings(order.resources)
        )
        return blank.getvalue()

    monkeypatch.setattr("coordination.web.shapes.papers.render_apart", keep)
    monkeypatch.setattr("coordination.handover.sheet_paper.render_apart", keep)
    offered(site)
    uid, client = site.project.uid, dict(browsers(site))["coordinator"]
    for name, more in (
        ("letter-pdf", ["pit.sump"]),
        ("trade-sheet-pdf", ["framing", "rail-wall"]),
        ("trade-sheets-pdf", ["electrical"]),
        ("brief-pdf", []),
        ("week-pdf", []),
        ("final-list-pdf", []),
        ("place-evidence-pdf", ["rail-wall"]),
    ):
        assert client.get(reverse(name, args=[uid, *more])).status_code == 200
    plain = client.get(reverse("letter-text", args=[uid, "pit.sump"])).content.decode()
    texts = [text for html in made for text in Reading(html).texts] + plain.splitlines()
    assert len(made) >= 6
    assert found_in(texts, with_citations(site)) == []


def test_the_page_of_a_packed_folder_is_given_to_translators(
    site: Site, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("coordination.handover.packing.laying.pdf_of", lambda order: b"%PDF-1.7")
    offered(site)
    told = whole_of(site.project, site.step())
    lacking = lay(told, FolderSink(tmp_path), Wanted("folder", "es", "letter", originals=True))
    page, steps = (tmp_path / name for name in ("index.html", "how-to-check.txt"))
    texts = [*Reading(page.read_text()).texts, *steps.read_text().splitlines()]
    commands = [command for _system, command in COMMANDS]
    names = ["Linux", "macOS", "Windows (PowerShell)", "SHA256SUMS", told["as_of"]["hash"], *commands]
    names += [each.name for each in lacking]
    data = tuple(sorted({*names, *with_citations(site)}, key=len, reverse=True))
    assert found_in(texts, data) == []


def drawings(resources: Any) -> list[Any]:
    return [each for name, each in resources.items() if name.endswith(".svg")]


def test_sources_that_are_no_citations_have_words() -> None:
    """Papers of this job and practice have words in each language; laws of nature and codes are cited."""
    own = {source.document for source in sources() if source.status in {"practice", "drawing"}}
    assert own - set(DOCUMENTS) == {"Blasius formula", "Hagen-Poiseuille law"}


def test_a_forgotten_sentence_is_found(marks: None) -> None:
    """The seeded fault: one sentence on a page that nobody gave to a translator."""
    page = (
        "{% load i18n %}<main><h1>{% translate 'Site facts' %}</h1><p>Forgotten here</p>"
        "<p>{% blocktranslate with n=name %}Hello {{ n }},{% endblocktranslate %}</p>"
        "<img alt='A forgotten picture' src='x'><svg><text>⟦two</text><text>lines⟧</text><text>lost</text></svg></main>"
    )
    with translation.override("es"):
        html = engines["django"].from_string(page).render({"name": "Bo Tran or else"})
    assert found_in(Reading(html).texts, ("Bo Tran",)) == [
        "Forgotten here  (Forgotten here)",
        "⟦Hello ⟧Bo Tran or else⟦,⟧  (or else)",
        "A forgotten picture  (forgotten picture)",
        "lost  (lost)",
    ]
    assert in_both({"text": {"en": "Pit of {pit.depth}"}, "words": {"en": {"lift": "elevator"}}}) == {
        "text": {"en": "Pit of {pit.depth}", "es": "⟦Pit of ⟧{pit.depth}"},
        "words": {"en": {"lift": "elevator"}, "es": {"lift": "⟦elevator⟧"}},
    }
