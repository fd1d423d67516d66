"""A trade's own pages: only theirs; handing in photos, readings, papers, signatures; passing on; answering."""

import io
import re
import uuid
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pillow_heif
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from coordination.evidence.models import Evidence
from coordination.files.models import Blob
from coordination.gates.models import Answer
from tests.files.one_piece import one_piece
from tests.gates.sites import BACKING, JOB, RAILS, ROUGH, Site, build, picture
from tests.standing_cast import NOBODYS
from tests.web.worked_site import begun, browse, by_link, key, page, site, words

__all__ = ["begun", "browse", "by_link", "site"]
LEFT, SPREAD, RECEPTACLE = "backing@rail-wall#left", "backing@rail-wall#spread", "rough@pit#receptacle"
HTMX = {"HX-Request": "true"}
OWN_QUERIES, TASK_QUERIES = 33, 42


def file(name: str, content: bytes, kind: str = "image/jpeg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, kind)


def own(site: Site, task: str) -> str:
    return page(site, "my-task", site.task(task).uid)


def at(site: Site, need: str) -> str:
    return page(site, "my-handing-in", site.need(need).uid)


def send(client: Client, site: Site, need: str, **more: Any) -> Any:
    told = {"key": key(), "terms": site.need(need).terms_sha, **more}
    return client.post(at(site, need), told, headers=HTMX)


def heic() -> bytes:
    out = io.BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (640, 480), (90, 120, 70))).save(out, quality=70)
    return out.getvalue()


# who


@pytest.mark.parametrize(
    ("name", "status"),
    [
        ("framer", 200),
        ("crew", 200),
        ("electrician", 200),
        ("coordinator", 404),
        ("owner", 404),
        ("left", 404),
        ("stranger", 404),
    ],
)
def test_own_tasks_are_for_trades(site: Site, browse: Any, name: str, status: int) -> None:
    assert browse(name).get(page(site, "my-tasks")).status_code == status


@pytest.mark.parametrize(
    ("link", "status"), [("framer", 200), ("owner", 404), ("expired", 404), ("revoked", 404)]
)
def test_a_link_needs_no_account(site: Site, by_link: Any, link: str, status: int) -> None:
    assert by_link(link).get(page(site, "my-tasks")).status_code == status


def test_nobody_sees_another_trades_task_but_its_receiver(site: Site, browse: Any) -> None:
    seen = {
        name: browse(name).get(own(site, BACKING.key)).status_code
        for name in ("framer", "crew", "electrician")
    }
    assert seen == {"framer": 200, "crew": 200, "electrician": 404}


def test_a_second_company_of_the_same_trade_sees_none_of_it(site: Site, browse: Any) -> None:
    lines = browse("other electrician").get(page(site, "my-tasks")).context["own"]
    assert [line.name for line in (*lines.today, *lines.to_come)] == ["board"]
    assert browse("other electrician").get(own(site, ROUGH.key)).status_code == 404
    answer = send(browse("other electrician"), site, RECEPTACLE, photos=[file("a.jpg", picture())])
    assert (answer.status_code, Blob.objects.count()) == (404, 0)


def test_a_task_of_another_site_is_not_there(site: Site, browse: Any) -> None:
    far = build("far.")
    client = browse("framer")
    address = reverse("my-task", args=[site.project.uid, far.task(BACKING.key).uid])
    posted = reverse("my-handing-in", args=[site.project.uid, far.need(LEFT).uid])
    assert client.get(address).status_code == 404
    assert client.post(posted, {"key": key(), "photos": file("a.jpg", picture())}).status_code == 404
    assert client.get(page(site, "my-task", NOBODYS)).status_code == 404


# what is seen


def test_the_first_lines_say_what_where_and_which_dimension(site: Site, browse: Any) -> None:
    lines = browse("framer").get(page(site, "my-tasks")).context["own"]
    assert [(line.name, line.place, line.first_line, line.state) for line in lines.today] == [
        ("backing", "Rail wall", "continuous backing both sides, 30 in apart", "ready")
    ]


def test_held_work_says_what_it_waits_for_without_anybodys_telephone(site: Site, browse: Any) -> None:
    [line] = browse("other electrician").get(page(site, "my-tasks")).context["own"].to_come
    assert line.note.startswith("waits for: ")
    told = browse("other electrician").get(own(site, "board@rail-wall"))
    assert "Copper Creek Framing" in words(told)
    assert "tel:" not in told.content.decode()


def test_the_lift_crew_does_see_telephones(site: Site, browse: Any) -> None:
    assert "tel:5550142" in browse("crew").get(own(site, RAILS.key)).content.decode()


def test_the_lists_cost_the_same_for_one_task_and_three(
    site: Site, browse: Any, django_assert_num_queries: Any
) -> None:
    client = browse("framer")
    client.get(page(site, "my-tasks"))
    with django_assert_num_queries(OWN_QUERIES):
        assert len(client.get(page(site, "my-tasks")).context["own"].today) == 1
    more = [
        replace(BACKING, key=f"{name}@rail-wall", entry=name, requirements=()) for name in ("studs", "sill")
    ]
    site.accept(replace(JOB, tasks=(*JOB.tasks, *more)))
    with django_assert_num_queries(OWN_QUERIES):
        assert len(client.get(page(site, "my-tasks")).context["own"].today) == 3


def test_a_task_costs_the_same_with_one_photo_and_with_three(
    begun: Site, browse: Any, django_assert_num_queries: Any
) -> None:
    client = browse("framer")
    client.get(own(begun, BACKING.key))
    begun.photo(LEFT, "framer")
    with django_assert_num_queries(TASK_QUERIES):
        client.get(own(begun, BACKING.key))
    begun.photo(LEFT, "framer"), begun.photo(LEFT, "framer")
    with django_assert_num_queries(TASK_QUERIES):
        assert len(client.get(own(begun, BACKING.key)).context["cards"][0].need.figures) == 3


# beginning


def test_beginning_once_or_twice(site: Site, browse: Any) -> None:
    client, task = browse("framer"), site.task(BACKING.key)
    for _press in range(2):
        answer = client.post(page(site, "task-doing", task.uid, "start"), {"page": "mine"})
        assert answer.headers["Location"] == own(site, BACKING.key)
    assert site.task(BACKING.key).begun_on is not None


def test_beginning_too_early_is_refused_with_everything_that_is_missing(site: Site, browse: Any) -> None:
    task = site.task("board@rail-wall")
    answer = browse("other electrician").post(page(site, "task-doing", task.uid, "start"), {"page": "mine"})
    assert answer.status_code == 422
    said = [(line.sentence, line.owner, line.phone) for line in answer.context["missing"]]
    framer = "Copper Creek Framing"
    assert said == [
        ("Backing has not begun", framer, ""),
        ("Photo (backing) not handed in", framer, ""),
        ("Spread (backing) not handed in", framer, ""),
        ("Gate not cleared: close-in", "Ana Ruiz, Tern Hill Builders", ""),
    ]
    assert site.task("board@rail-wall").begun_on is None


@pytest.mark.parametrize("verb", ["start", "offer"])
def test_nobody_else_begins_or_ends_it(site: Site, browse: Any, verb: str) -> None:
    address = page(site, "task-doing", site.task(BACKING.key).uid, verb)
    told = {
        name: browse(name).post(address).status_code for name in ("electrician", "left", "stranger", "owner")
    }
    assert set(told.values()) == {404}
    assert browse("crew").post(address).status_code == 403
    assert site.task(BACKING.key).begun_on is None


def test_there_are_no_other_verbs(site: Site, browse: Any) -> None:
    task = site.task(BACKING.key)
    assert browse("framer").post(page(site, "task-doing", task.uid, "paint")).status_code == 404
    assert browse("framer").get(page(site, "task-doing", task.uid, "start")).status_code == 405


# handing in


def test_several_photos_at_once_in_every_format(begun: Site, browse: Any) -> None:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), "white").save(out, "PNG")
    files = [file("a.jpg", picture(1)), file("b.png", out.getvalue()), file("IMG_1.HEIC", heic(), "")]
    answer = send(browse("framer"), begun, LEFT, photos=files)
    assert answer.status_code == 200
    assert "3 photos handed in." in words(answer)
    kinds = Evidence.objects.order_by("pk").values_list("blob__media_type", flat=True)
    assert list(kinds) == ["image/jpeg", "image/png", "image/heic"]
    assert answer.content.decode().count("its small copy is being made") == 3
    assert 'id="pass-on" hx-swap-oob="true"' in answer.content.decode()


def test_without_script_the_same_form_leads_back_to_the_card(begun: Site, browse: Any) -> None:
    told = {"key": key(), "photos": [file("a.jpg", picture(1)), file("b.jpg", picture(2))]}
    answer = browse("framer").post(at(begun, LEFT), told)
    assert answer.headers["Location"] == f"{own(begun, BACKING.key)}#need-{begun.need(LEFT).uid}"
    assert Evidence.objects.count() == 2


def test_a_form_pressed_twice_hands_in_once(begun: Site, browse: Any) -> None:
    client, same = browse("framer"), key()
    for _press in range(2):
        answer = send(
            client, begun, LEFT, key=same, photos=[file("a.jpg", picture(1)), file("a again.jpg", picture(1))]
        )
        assert answer.status_code == 200
    assert Evidence.objects.count() == 1


def test_what_was_altered_before_sending_again_is_new(begun: Site, browse: Any) -> None:
    same = key()
    for typed in ('30"', '30"', '30 1/2"'):
        assert send(browse("framer"), begun, SPREAD, key=same, typed=typed).status_code == 200
    assert list(Evidence.objects.order_by("pk").values_list("typed", flat=True)) == ['30"', '30 1/2"']


def test_the_form_says_now_and_what_was_typed_instead_is_kept_and_told(begun: Site, browse: Any) -> None:
    client, zone = browse("framer"), ZoneInfo(begun.project.zone)
    before = timezone.now().astimezone(zone).replace(second=0, microsecond=0)
    shown = client.get(own(begun, BACKING.key)).content.decode()
    fields = re.findall(r'type="datetime-local" name="taken_at" value="([^"]+)"', shown)
    assert fields
    for field in fields:
        assert before <= datetime.fromisoformat(field).replace(tzinfo=zone) <= timezone.now()
    assert f'data-now="{begun.project.zone}"' in shown
    typed = before - timedelta(hours=5)
    answer = send(client, begun, SPREAD, typed='30"', taken_at=f"{typed:%Y-%m-%dT%H:%M}")
    row = Evidence.objects.get()
    assert (row.taken_at, row.taken_at.astimezone(zone).utcoffset()) == (typed, typed.utcoffset())
    assert re.search(rf"taken \w{{3}} {typed.day} .*{typed:%H:%M} , handed in \w{{3}} ", words(answer))


def test_a_time_that_cannot_be_is_refused_with_what_would_be_right_and_stays_in_the_form(
    begun: Site, browse: Any
) -> None:
    ahead = timezone.now().astimezone(ZoneInfo(begun.project.zone)) + timedelta(days=1)
    for typed, said in (
        (f"{ahead:%Y-%m-%dT%H:%M}", "lies ahead: on the site it is"),
        ("2026-02-27T09:00", "was taken before this work was begun (Mon 2 Mar 2026)."),
        ("last week", "last week is no day and hour. Write it as 2026-03-31 7:00."),
    ):
        answer = send(browse("framer"), begun, SPREAD, typed='30"', taken_at=typed)
        assert answer.status_code == 422
        assert said in words(answer)
        assert f'value="{typed}"' in answer.content.decode()
        assert "data-now" not in answer.content.decode()
    assert Evidence.objects.count() == 0


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("left.jpg", b"a note, not a photo", "left.jpg is no picture, whatever its name says."),
        ("half.jpg", picture()[: len(picture()) // 2], "half.jpg is cut off."),
        ("empty.jpg", b"", "empty.jpg is empty."),
        ("moving.gif", b"GIF89a" + bytes(40), "moving.gif is a GIF, which is not taken"),
    ],
)
def test_a_file_that_is_no_photo_is_named_and_nothing_is_kept(
    begun: Site, browse: Any, name: str, content: bytes, said: str
) -> None:
    for headers in (HTMX, {}):
        told = {"key": key(), "photos": file(name, content)}
        answer = browse("framer").post(at(begun, LEFT), told, headers=headers)
        assert answer.status_code == 422
        assert said in words(answer)
        assert "This was not done" in words(answer)
    assert (Evidence.objects.count(), Blob.objects.count()) == (0, 0)


def test_a_heic_that_nothing_can_open_is_refused_with_what_to_do_instead(begun: Site, browse: Any) -> None:
    answer = send(browse("framer"), begun, LEFT, photos=[file("IMG_1.HEIC", one_piece(20_000_000))])
    assert answer.status_code == 422
    assert "IMG_1.HEIC is a HEIC packed as one single piece of more than 16 MB" in words(answer)
    assert "Save it as a JPEG and hand that in" in words(answer)
    assert (Evidence.objects.count(), Blob.objects.count()) == (0, 0)


def test_a_file_over_the_limit_is_dropped_while_it_comes(begun: Site, browse: Any, settings: Any) -> None:
    settings.UPLOAD_LIMIT = 1_000_000
    answer = send(browse("framer"), begun, LEFT, photos=[file("huge.jpg", bytes(5_000_000))])
    assert answer.status_code == 422
    assert "huge.jpg is larger than 1 MB and was not stored." in words(answer)
    assert "Take a photo, or choose one." not in words(answer)
    assert (Evidence.objects.count(), Blob.objects.count()) == (0, 0)
    assert list(settings.FILE_UPLOAD_TEMP_DIR.iterdir()) == []


def test_the_good_ones_of_several_are_kept_and_the_others_named(begun: Site, browse: Any) -> None:
    files = [file("a.jpg", picture(1)), file("note.jpg", b"text"), file("b.jpg", picture(2))]
    answer = send(browse("framer"), begun, LEFT, photos=files)
    said = words(answer)
    assert answer.status_code == 422
    assert "Not everything was taken 2 photos handed in. note.jpg is no picture" in said
    assert (Evidence.objects.count(), Blob.objects.count()) == (2, 2)


def test_nothing_chosen(begun: Site, browse: Any) -> None:
    answer = send(browse("framer"), begun, LEFT)
    assert (answer.status_code, "Take a photo, or choose one." in words(answer)) == (422, True)


def test_a_form_without_its_key_is_refused(begun: Site, browse: Any) -> None:
    answer = send(browse("framer"), begun, SPREAD, key="x", typed='30"')
    assert (answer.status_code, Evidence.objects.count()) == (422, 0)


def test_work_that_has_not_begun_takes_nothing(site: Site, browse: Any) -> None:
    answer = send(browse("framer"), site, SPREAD, typed='30"')
    assert (answer.status_code, "Press start first" in words(answer)) == (422, True)
    assert Evidence.objects.count() == 0


def test_what_is_asked_for_has_changed_meanwhile(begun: Site, browse: Any) -> None:
    answer = send(browse("framer"), begun, SPREAD, typed='30"', terms="0" * 64)
    assert "changed since you opened this page" in words(answer)
    assert begun.need(SPREAD).terms_sha in answer.content.decode()
    assert (answer.status_code, Evidence.objects.count()) == (422, 0)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("wide", "wide is no length that can be read"),
        ("30'", ""),
        ("", "Type what was read."),
    ],
)
def test_a_reading_that_cannot_be_read_says_what_would_be_right(
    begun: Site, browse: Any, typed: str, said: str
) -> None:
    answer = send(browse("framer"), begun, SPREAD, typed=typed)
    assert answer.status_code == (422 if said else 200)
    assert said in words(answer)
    assert Evidence.objects.count() == (0 if said else 1)


def test_what_was_typed_stays_in_the_form_to_be_put_right(begun: Site, browse: Any) -> None:
    answer = send(browse("framer"), begun, SPREAD, typed="wide", instrument="tape")
    assert 'value="wide"' in answer.content.decode()
    assert 'value="tape"' in answer.content.decode()


def test_a_reading_is_judged_at_once_and_nothing_is_kept(begun: Site, browse: Any) -> None:
    address = page(begun, "reading-check", begun.need(SPREAD).uid)
    said = {
        typed: words(browse("framer").get(address, {"typed": typed})) for typed in ('30"', '33"', "x", "")
    }
    assert said == {
        '30"': "2' 6\" is inside the tolerance (2' 5\" to 2' 7\").",
        '33"': "2' 9\" is outside the tolerance (2' 5\" to 2' 7\"). Put it right and measure again. "
        "If it has to stay so, only a concession lets it pass.",
        "x": "x is no length that can be read (neither feet and inches nor metric). "
        'Write it as 9\' 4 1/2", 14" or 2857 mm.',
        "": "",
    }
    assert Evidence.objects.count() == 0
    assert browse("electrician").get(address, {"typed": '30"'}).status_code == 404
    assert browse("framer").get(page(begun, "reading-check", begun.need(LEFT).uid)).status_code == 404


def test_a_reading_outside_then_inside(begun: Site, browse: Any) -> None:
    client = browse("framer")
    first = words(send(client, begun, SPREAD, typed='33"'))
    assert "Handed in; it is outside the tolerance." in first
    second = send(client, begun, SPREAD, typed='30"')
    need = second.context["card"].need
    assert (need.value, need.inside, need.state) == ("2' 6\"", True, "handed in")


# passing on, and coming back


def test_passing_on_needs_everything_shown(begun: Site, browse: Any) -> None:
    client, address = browse("framer"), page(begun, "task-doing", begun.task(BACKING.key).uid, "offer")
    answer = client.post(address, {"page": "mine"})
    assert answer.status_code == 422
    assert [(line.sentence, line.owner, line.phone) for line in answer.context["missing"]] == [
        ("Photo (backing) not handed in", "Copper Creek Framing", ""),
        ("Spread (backing) not handed in", "Copper Creek Framing", ""),
    ]
    begun.photo(LEFT, "framer"), begun.read(SPREAD, "framer", '30"')
    assert client.post(address, {"page": "mine", "note": "both sides"}).status_code == 302
    shown = client.get(own(begun, BACKING.key))
    assert "Offered to Low Rise Lift Supply" in words(shown)
    assert 'value="mine"' not in words(shown)


def test_refused_work_has_the_reasons_on_top(begun: Site, browse: Any) -> None:
    begun.photo(LEFT, "framer"), begun.read(SPREAD, "framer", '30"')
    begun.offer(BACKING.key, "framer")
    begun.review(LEFT, "contractor", "refused", "The tape cannot be read.")
    client = browse("framer")
    [line] = client.get(page(begun, "my-tasks")).context["own"].today
    assert (line.state, line.note) == ("refused", "The tape cannot be read.")
    sheet = client.get(own(begun, BACKING.key)).context["sheet"]
    assert [(back.subject, back.by, back.reasons) for back in sheet.returned] == [
        ("Photo", "Ana Ruiz", ("The tape cannot be read.",))
    ]
    assert [need.reasons for need in sheet.needs] == [("The tape cannot be read.",), ()]
    send(client, begun, LEFT, photos=[file("again.jpg", picture(9))])
    assert client.get(own(begun, BACKING.key)).context["sheet"].returned == ()


# what they receive


@pytest.fixture
def offered(begun: Site) -> Any:
    begun.photo(LEFT, "framer"), begun.read(SPREAD, "framer", '30"')
    return begun.offer(BACKING.key, "framer")


def answer_at(site: Site, offer: Any, receiver: str = RAILS.key) -> str:
    return page(site, "handoff-answer", offer.uid, site.task(receiver).uid)


def test_the_receiver_sees_what_they_will_build_on(begun: Site, offered: Any, browse: Any) -> None:
    answer = browse("crew").get(page(begun, "my-tasks"))
    [handoff] = answer.context["handoffs"]
    assert (handoff.what, handoff.from_whom, handoff.receiver_note, handoff.onto) == (
        "backing",
        "Copper Creek Framing",
        "the spread",
        "rails",
    )
    [spread] = handoff.first.readings
    assert (spread.need.text, spread.need.value, spread.need.inside) == ("spread", "2' 6\"", True)
    assert [(need.text, len(need.figures)) for need in handoff.rest.shown] == [("Photo", 1)]
    assert browse("framer").get(page(begun, "my-tasks")).context["handoffs"] == []


@pytest.mark.parametrize("headers", [HTMX, {}], ids=["part", "page"])
def test_accepting_once_or_twice(begun: Site, offered: Any, browse: Any, headers: dict[str, str]) -> None:
    client = browse("crew")
    for _press in range(2):
        answer = client.post(
            answer_at(begun, offered), {"outcome": "accepted", "page": "mine"}, headers=headers
        )
        assert answer.status_code == (200 if headers else 302)
    assert list(Answer.objects.values_list("outcome", flat=True)) == ["accepted"]


def test_refusing_needs_reasons_and_brings_the_work_back(begun: Site, offered: Any, browse: Any) -> None:
    client = browse("crew")
    bare = client.post(answer_at(begun, offered), {"outcome": "refused"}, headers=HTMX)
    assert (bare.status_code, "Say why it is refused" in words(bare)) == (422, True)
    told = {"outcome": "refused", "reasons": ["dimension-off"], "words": "29 in at the second floor"}
    assert client.post(answer_at(begun, offered), told, headers=HTMX).status_code == 200
    assert Answer.objects.get().reasons == ["A dimension is off.", "29 in at the second floor"]
    [line] = browse("framer").get(page(begun, "my-tasks")).context["own"].today
    assert (line.state, line.note) == ("refused", "A dimension is off.\n29 in at the second floor")


@pytest.mark.parametrize("told", [{}, {"outcome": "perhaps"}, {"outcome": "refused", "reasons": ["x"]}])
def test_an_answer_that_is_none(begun: Site, offered: Any, browse: Any, told: dict[str, Any]) -> None:
    assert browse("crew").post(answer_at(begun, offered), told, headers=HTMX).status_code == 422
    assert Answer.objects.count() == 0


@pytest.mark.parametrize("name", ["framer", "electrician", "owner", "left", "stranger"])
def test_nobody_else_answers(begun: Site, offered: Any, browse: Any, name: str) -> None:
    assert browse(name).post(answer_at(begun, offered), {"outcome": "accepted"}).status_code == 404
    assert Answer.objects.count() == 0


def test_swapped_ids_answer_nothing(begun: Site, offered: Any, browse: Any) -> None:
    client = browse("crew")
    for address in (
        page(begun, "handoff-answer", offered.uid, begun.task("board@rail-wall").uid),
        page(begun, "handoff-answer", offered.uid, NOBODYS),
        page(begun, "handoff-answer", uuid.uuid4(), begun.task(RAILS.key).uid),
    ):
        assert client.post(address, {"outcome": "accepted"}).status_code == 404
    assert Answer.objects.count() == 0
