"""The whole job through HTTP, as the five people: every step presses a form that the person's own page shows."""

import io
from collections.abc import Callable
from datetime import date, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coordination.access.actions import send_sign_in_link
from coordination.access.models import Project
from coordination.background.running import run_until_idle
from coordination.console.background_work import WORKS
from coordination.console.demo import offerings
from coordination.console.demo.cast import Troupe, assemble, open_for
from coordination.console.demo.hands import Hands
from coordination.console.demo.playing import Player
from coordination.console.demo.stories import PERMITS
from coordination.console.demo.story import Answering, Letting, Refusal, Story
from coordination.gates.actions import accept_change
from coordination.gates.rules import check_rules
from coordination.projects.actions import FactInput, enter_facts
from coordination.projects.job_file import read_job
from coordination.record.queries import decisions
from coordination.record.verification import Verified, verify_stream
from tests.web.pressing import forms_on, press, send, text_of

JOB = Path(__file__).resolve().parents[2] / "fixtures" / "facts" / "candle-works.toml"
FIRST = date(2026, 1, 5)
STORY = Story(
    refusals=(Refusal("backing@rail-wall#backing-left", ("Not sharp, or too dark.",)),),
    answers=(
        Answering("pit.sump", "no", "form-pit@pit", "Town plumbing inspector", "letter"),
        Answering(
            "power.lowering_cut_off", "auxiliary contact", "disconnects@machine-room", "State", "e-mail"
        ),
    ),
    lettings=(
        Letting(
            "walls@hoistway#framed-diagonals", '9/16"', "The survey shows room to spare.", "This hoistway."
        ),
    ),
    permits=PERMITS,
)
draw = offerings.draw_photo


@lru_cache(maxsize=64)
def drawn_once(view: str, fmt: str, orientation: int, spoiled: bool, taken_at: Any) -> bytes:
    return draw(
        view, seed=1, taken_at=taken_at, size=(640, 480), orientation=orientation, fmt=fmt, spoiled=spoiled
    )


class Buttons(Hands):
    """Hands that open the person's page and press what it shows."""

    def __init__(self, troupe: Troupe) -> None:
        super().__init__(troupe.project)
        self.troupe = troupe
        self.uid = troupe.project.uid
        self._clients: dict[tuple[str, str], Client] = {}
        self._open: tuple[object, Any] = (None, None)

    def client(self, visitor) -> Client:
        """A browser that came in through the person's own link, not longer than a week ago."""
        key = (visitor.identity, timezone.now().strftime("%G-%V"))
        if key not in self._clients:
            self._clients[key] = self._come_in(visitor)
        return self._clients[key]

    def _come_in(self, visitor) -> Client:
        if visitor.by_link:
            token = self.troupe.tokens[visitor.company_name]
        else:
            person = next(
                p for p in self.troupe.cast.people.values() if f"person:{p.uid}" == visitor.identity
            )
            token = send_sign_in_link(person, timezone.now())
        client = Client()
        page = client.get(reverse("link", args=[token]))
        assert page.status_code == 200
        press(client, page, reverse("link", args=[token]))
        return client

    def page(self, visitor, name: str, *args: object, query: str = ""):
        answer = self.client(visitor).get(reverse(name, args=[self.uid, *args]) + query)
        assert answer.status_code == 200, (name, answer.status_code)
        return answer

    def _left_open(self, visitor, task):
        """The page of a task that stays open while one thing after another is handed in."""
        key = (visitor.identity, task.uid, timezone.now().date())
        if self._open[0] != key:
            self._open = (key, self._own(visitor, task))
        return self._open[1]

    def _own(self, visitor, task):
        whole = visitor.role in {"coordinator", "contractor"}
        return self.page(visitor, "task" if whole else "my-task", task.uid)

    def start(self, visitor, at, task, other):
        more = {"source": other.source} if other else {}
        press(self.client(visitor), self._own(visitor, task), f"{task.uid}/start", **more)
        self._open = (None, None)

    def hand_in(self, visitor, at, row, other, *, spoiled, typed):
        page = self._left_open(visitor, row.task)
        more: dict[str, Any] = {"source": other.source} if other else {}
        number = ""
        if row.kind in {"photo", "document"}:
            name, content, number = self._file(row, at, spoiled=spoiled)
            more["photos" if row.kind == "photo" else "document"] = SimpleUploadedFile(name, content)
            if row.release:
                more |= {"number": number, "dated": at.date().isoformat()}
        elif row.kind == "reading":
            told = typed or offerings.typed_reading(row.terms, at.date())
            more["pasted" if row.terms.get("series") else "typed"] = told
        else:
            more["typed"] = visitor.name
        if row.terms.get("inspection"):
            page, more = self._result_page(visitor, page, row), {**more, "result": "passed"}
        form = next(form for form in forms_on(page) if str(row.uid) in form.action and "key" in form.fields)
        send(self.client(visitor), form, **more)
        return number

    def _result_page(self, visitor, page, row):
        """The page on which the result of an inspection is entered: the task's page leads there."""
        assert reverse("inspection", args=[self.uid, row.uid]) in page.content.decode()
        return self.page(visitor, "inspection", row.uid)

    def _file(self, row, at, *, spoiled):
        number = f"NO-{row.pk}" if row.release else ""
        if row.kind == "document":
            return f"{row.key}.pdf", paper_of(row.key), number
        view = offerings.view_for(f"{row.task.key} {row.key}")
        fmt, ending = offerings._format(row.pk, row)
        taken = (at - timedelta(minutes=20)).replace(second=0, microsecond=0)
        return f"{row.key}.{ending}", drawn_once(view, fmt, 6, spoiled, taken), number

    def concede(self, visitor, at, row, *, reason, scope, quantity="", expires_on=None):
        press(
            self.client(visitor),
            self._own(visitor, row.task),
            f"{row.uid}/concede",
            reason=reason,
            scope=scope,
            quantity=quantity,
        )

    def offer(self, visitor, at, task, other):
        more = {"source": other.source} if other else {}
        press(self.client(visitor), self._own(visitor, task), f"{task.uid}/offer", **more)

    def review(self, visitor, at, row, outcome, reasons, *, marks=()):
        if visitor.role in {"coordinator", "contractor", "lift crew"}:
            page = self.page(visitor, "reviews", query=f"?look={row.uid}")
        words = {"words": reasons[0]} if reasons else {}
        press(self.client(visitor), page, f"reviews/{row.uid}", outcome=outcome, **words)

    def receive(self, visitor, at, offer, after, other):
        more = {"source": other.source} if other else {}
        page = self._own(visitor, after)
        press(self.client(visitor), page, f"{offer.uid}/{after.uid}", outcome="accepted", **more)

    def sign(self, visitor, at, gate, statement, role):
        owner = visitor.role == "owner"
        page = self.page(visitor, "standing") if owner else self.page(visitor, "gate", gate.task.uid)
        press(self.client(visitor), page, f"{gate.task.uid}/sign", statement=statement)

    def clear(self, visitor, at, gate):
        press(self.client(visitor), self.page(visitor, "gate", gate.task.uid), f"{gate.task.uid}/clear")

    def settle(self, visitor, at, fact, *, typed, said_by, source):
        page = self.page(visitor, "questions")
        form = next(form for form in forms_on(page) if form.fields.get("fact") == [fact])
        told = {f"{fact}:state": "known", f"{fact}:said_by": said_by, f"{fact}:source": source}
        form.fields |= {name: [value] for name, value in told.items()}
        form.fields[fact] = [typed]
        send(self.client(visitor), form)
        self._accept(visitor)

    def note_permit(self, visitor, at, kind, number):
        fact = f"authority.{kind}.permit"
        form = next(form for form in forms_on(self.page(visitor, "facts")) if "seen" in form.fields)
        form.fields |= {f"{fact}:state": ["known"], fact: [number]}
        send(self.client(visitor), form)
        self._accept(visitor)

    def _accept(self, visitor):
        page = self.page(visitor, "change")
        if form := next((form for form in forms_on(page) if "change" in form.fields), None):
            send(self.client(visitor), form)


@lru_cache
def paper_of(words: str) -> bytes:
    """A small PDF made by an independent writer."""
    writer = pypdf.PdfWriter()
    writer.add_blank_page(612, 792)
    writer.add_metadata({"/Title": words})
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


@pytest.fixture
def clock(monkeypatch) -> Callable[[Any], None]:
    """The wall clock that the pages read, moved by the player."""
    told: list[Any] = [timezone.now()]
    monkeypatch.setattr("django.utils.timezone.now", lambda: told[0])

    def move(at: Any) -> None:
        told[0] = at

    return move


class Timed(Player):
    """A player whose clock is also the clock of the pages."""

    move: Callable[[Any], None]

    def _tick(self):
        at = super()._tick()
        self.move(at)
        return at

    def _set(self, day, hour):
        super()._set(day, hour)
        self.move(self.now)


@pytest.mark.django_db
def test_a_job_goes_from_its_facts_to_the_handover_papers_through_the_pages_alone(clock, tmp_path):
    job = read_job(JOB)
    from datetime import datetime, time
    from zoneinfo import ZoneInfo

    at = datetime.combine(FIRST, time(6), ZoneInfo("America/New_York"))
    clock(at)
    cast = assemble(at)
    troupe = Troupe(cast, open_for(cast, job, at), at)
    coordinator = troupe.as_role("coordinator", at)
    entries = {**job.entries, "calendar.start": FactInput(typed=FIRST.isoformat())}
    change = enter_facts(troupe.project, coordinator, at, entries, authorities=job.authorities)
    accept_change(troupe.project, coordinator, at, change.uid)
    told: list[tuple[int, int]] = []
    player = Timed(troupe, STORY, lambda done, of: told.append((done, of)), Buttons(troupe))
    player.move = clock
    player.now = player.now.replace(tzinfo=player.zone)
    player.play(FIRST, FIRST + timedelta(days=330))

    done, of = told[-1]
    assert done == of > 55
    project = Project.objects.get()
    stream = verify_stream(project.stream)
    assert isinstance(stream, Verified)
    assert check_rules(project, player.now) == []
    verbs = [decision.verb for decision in decisions(project.stream)]
    assert verbs.count("gate cleared") == 10
    assert {"evidence refused", "concession granted", "question answered", "plan accepted"} <= set(verbs)
    assert {t.error for t in run_until_idle(WORKS, player.now, children=False)} == {""}
    the_inspector_downloads_every_report(troupe, player, tmp_path)
    the_owner_reads_where_it_stands(troupe, player)


def the_inspector_downloads_every_report(troupe: Troupe, player: Player, folder: Path) -> None:
    client = Client()
    token = troupe.send_to("inspection", "Inspector", player.now)
    page = client.get(reverse("link", args=[token]))
    if page.status_code == 200 and forms_on(page):
        press(client, page, reverse("link", args=[token]))
    page = client.get(reverse("handover", args=[troupe.project.uid]))
    links = sorted(set(_hrefs(page, "/reports/")))
    assert len(links) == 10
    texts = []
    for link in links:
        answer = client.get(link)
        content = b"".join(answer.streaming_content) if answer.streaming else answer.content
        assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
        texts.append("\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages))
    assert all("Quince Lane candle works" in text for text in texts)
    assert sum("9/16" in text for text in texts) >= 1
    assert not any(word in text.lower() for text in texts for word in ("complies", "approved by us"))


def the_owner_reads_where_it_stands(troupe: Troupe, player: Player) -> None:
    client = Client()
    token = troupe.send_to("owner page", "Ines Halloway", player.now)
    page = client.get(reverse("link", args=[token]))
    if page.status_code == 200 and forms_on(page):
        press(client, page, reverse("link", args=[token]))
    page = client.get(reverse("standing", args=[troupe.project.uid]))
    assert page.status_code == 200
    words = text_of(page)
    assert "802 555" not in words
    assert "Quince Lane candle works" in words


def _hrefs(page: Any, part: str) -> list[str]:
    import re

    return [href for href in re.findall(r'href="([^"]+)"', page.content.decode()) if part in href]
